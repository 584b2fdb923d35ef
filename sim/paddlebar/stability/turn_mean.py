"""From small disturbances that repeat every turn to constant equations for the means over a turn: Floquet's modes, seen from the body.

A mode is x = exp(s t) p(t), p of the rotor's period; its mean over a turn, seen from the body, is X = <T p>. With all modes that have such
a mean, a state z = X c has z' = A z with A = X diag(s) X^-1. An input acts on each mode by the mean of the mode's inverse, B = X <p^-1 b>.
Exponents and forms come from the equations at each azimuth; the return map only says which modes there are (floquet.py). What a steady input comes to is known exactly, from the periodic equations: D is what
C (-A)^-1 B lacks of it.

Left out are modes that a mean over a turn does not know: those that turn with the rotor (a teetering rotor's own swing, overdamped as it is
for light blades), those that change sign from turn to turn, and those of which nothing is left after a turn (NOTHING).
Source : Floquet and Liapunov's reduction to constant coefficients, any text on linear periodic systems; the choice of modes is own.
Checked: tests/stability/test_linear.py
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lu_factor, lu_solve, qr

from paddlebar.stability.floquet import Complex, Floquet

Array = NDArray[np.float64]

NOTHING = 1e-7  # of a disturbance after a turn: differences of the return map know no less
_ALIKE, _BESIDE, _TURNS, _LAST = (
    1e-6,
    1e-7,
    6,
    1e-3,
)  # exponents as one [of a turn]; beside the shift, so that it is never met; of the iteration; weight of what is taken last


class Constant(NamedTuple):
    """Constant equations; states : which of the coordinates that do not turn they are;  left_out : exponents [1/s]."""

    a: Array
    b: Array
    c: Array
    d: Array
    states: list[int]
    left_out: Complex


def constant(modes: Floquet, turn: Array, a: Array, b: Array, speed: Array, last: NDArray[np.bool_]) -> Constant:
    """Constant equations of the means over a turn, a mean by azimuth.

    modes : those of the return map: which there are, and how fast each is as seen from the body
    turn  : (m, n, n) from the free coordinates over their scales to those that do not turn;  a, b : (m, n, n), (m, n, inputs) periodic
        equations in the free coordinates over their scales [1/s];  speed : (m,) of the rotor [rad/s]
    last  : (n,) True for coordinates that are states only where the others do not tell the modes apart
    """
    m, n, _ = a.shape
    omega = 2.0 * np.pi / float(modes.times[-1])
    wanted, left_out = _told_apart(modes, omega)
    whole = _by_azimuth(a / speed[:, None, None])
    values, forms, acts = [], [], []
    push = (b / speed[:, None, None]).reshape(m * n, -1)
    for s in wanted:
        value, form, inverse = _mode(whole, s / omega)
        several = [(value, form, inverse @ push)]
        if s.imag != 0.0:
            several.append((value.conjugate(), form.conj(), several[0][2].conj()))
        for each in several:
            values.append(each[0])
            forms.append(each[1].reshape(m, n))
            acts.append(each[2])
    means = np.einsum("kij,skj->is", turn, np.array(forms)) / m
    states = _chosen(means, last)
    x = means[states]
    back = np.linalg.inv(x)
    matrix = (x @ np.diag(values) @ back).real
    into, seen = (x @ np.array(acts)).real, (means @ back).real
    settled = np.linalg.solve(-whole, push).reshape(m, n, -1)
    through = np.einsum("kij,kju->iu", turn, settled) / m + seen @ np.linalg.solve(matrix, into)
    return Constant(matrix * omega, into * omega, seen, through, states, left_out)


def _told_apart(modes: Floquet, omega: float) -> tuple[list[complex], Complex]:
    """Exponents of the modes that have a mean over a turn, of a pair one, and of those left out [1/s]."""
    wanted, rest = [], []
    for s, m in zip(modes.exponents, modes.harmonic, strict=True):
        turns = abs(s.imag) / omega % 1.0  # a whole or half number: the multiplier is a real number
        real, flips = min(turns, 1.0 - turns) < _ALIKE, abs(turns - 0.5) < _ALIKE
        if flips or (real and m != 0) or np.exp(2.0 * np.pi * s.real / omega) < NOTHING:
            rest.append(complex(s))
        else:
            wanted.append(complex(s.real, 0.0 if real else s.imag))
    return wanted, np.array(rest, dtype=np.complex128)


def _by_azimuth(a: Array) -> Array:
    """(m n, m n) what takes a periodic disturbance at m azimuths to a x - dx/dpsi, by collocation with trigonometric functions."""
    m, n, _ = a.shape
    waves = 1j * np.fft.fftfreq(m, 1.0 / m)
    if m % 2 == 0:
        waves[m // 2] = 0.0
    slope = np.fft.ifft(waves[:, None] * np.fft.fft(np.eye(m), axis=0), axis=0).real
    whole = -np.einsum("kl,ij->kilj", slope, np.eye(n))
    for k in range(m):
        whole[k, :, k, :] += a[k]
    return np.asarray(whole.reshape(m * n, m * n))


def _mode(whole: Array, near: complex) -> tuple[complex, Complex, Complex]:
    """The mode next to an exponent: exponent, form and what takes it out of a disturbance, all by azimuth; inverse iteration."""
    factor = lu_factor(whole - (near + _BESIDE) * np.eye(whole.shape[0]))
    right = left = np.ones(whole.shape[0], dtype=np.complex128)
    for _ in range(_TURNS):
        right, left = lu_solve(factor, right), lu_solve(factor, left, trans=1)
        right, left = right / np.linalg.norm(right), left / np.linalg.norm(left)
    left = left / (left @ right)
    return complex(left @ whole @ right), right, left


def _chosen(means: Complex, last: NDArray[np.bool_]) -> list[int]:
    """As many coordinates as there are modes, those that tell them apart best, in their order."""
    rows = means / np.linalg.norm(means, axis=0)
    sizes = np.linalg.norm(rows, axis=1, keepdims=True)
    weight = np.where(last, _LAST, 1.0)[:, None]
    _, _, order = qr((weight * rows / np.where(sizes > 0.0, sizes, 1.0)).T, pivoting=True)
    return sorted(int(k) for k in order[: means.shape[1]])
