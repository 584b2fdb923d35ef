"""Growth and frequency of small disturbances of a steady motion: Floquet's theory on the one right-hand side.

The state-transition matrix over a revolution comes from central differences of the return map, at twelve azimuths on the way, so that
the shape of a mode is known all round the revolution. Its eigenvalues mu (multipliers) give exponents log(mu)/T + i m Omega: a
multiplier knows the frequency only up to whole multiples m of the rotor's. Which m is meant:

    a mode is a sum of harmonics, x(t) = exp(s t) sum_m z_m exp(i m Omega t); shifting s by i Omega only renumbers them. m = 0 is
    given to the harmonic that is strongest in what does not turn: the body's motion, and the tilt of bar and blades as seen from
    the body, where what a seesaw shows at one a revolution is a plane that stands still.

For slow modes that is the principal branch, |frequency| < half the rotor's, and m = 0 anyway; it matters for a nutation faster than
half the rotor's speed. A bar that keeps its plane in space swings at exactly one a revolution on its hub: its multiplier is 1, its
exponent here 0, and not i Omega. Frequencies are those seen from the body axes, which turn with the body's spin.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eig

from paddlebar.craft.shape import arm_azimuth, blade_azimuth
from paddlebar.stability.return_map import ReturnMap

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

STATIONS = 12  # azimuths of a revolution at which shapes are kept
STEP = 1e-4  # of a coordinate's scale; error of the differences is measured, see checked()
_SHIFTS = (0, 1, -1, 2, -2)
_PREFER = (
    1.5  # of the principal branch: a lone seesaw shows as much at m = 2 as at m = 0, and is a plane that stands still
)


def growth(matrix: Array) -> Complex:
    """Exponents of dx/dt = A x: its eigenvalues, fastest growing first [1/s].

    matrix  : (n, n) [1/s]
    Source  : linear algebra (LAPACK geev through scipy)
    Checked : tests/reference/test_linear_roots.py against published matrices and roots
    """
    return ordered(np.asarray(eig(matrix, right=False), dtype=np.complex128))


def ordered(values: Complex) -> Complex:
    """Fastest growing first; of a pair the one with positive frequency first."""
    return values[np.lexsort((-values.imag, -np.round(values.real, 9)))]


def exponents(transition: Array, period: float) -> Complex:
    """Exponents on the principal branch, log(mu)/T, of a one-period state-transition matrix, fastest growing first [1/s].

    transition : (n, n);  period : T [s]
    Source     : G. Floquet (1883), any text on linear periodic systems
    """
    multipliers = np.asarray(eig(transition, right=False), dtype=np.complex128)
    with np.errstate(divide="ignore"):
        return ordered(np.asarray(np.log(multipliers) / period, dtype=np.complex128))


def transition(map_: ReturnMap, x: Array, step: float = STEP, stations: int = 1) -> tuple[Array, Array]:
    """State-transition matrices from azimuth zero to some azimuths, by central differences.

    x        : (n,) fixed point, in scales;  stations : how many, evenly spaced, the last a whole revolution: one, or a multiple of two that
        divides the map's steps
    Returns  : times of the undisturbed motion (stations + 1,) [s], matrices (stations + 1, n, n) in scales, the first the identity

    Where half a turn is enough, the second half is the image of the first: Phi(T/2 + t) = S Phi(t) S Phi(T/2), S the image.
    """
    times, matrices = _over_part(map_, x, step, max(1, stations // map_.parts))
    if map_.parts == 2:
        half = map_.image(matrices[-1])
        times = np.append(times, times[-1] + times[1:])
        matrices = np.concatenate([matrices, [map_.image(each) @ half for each in matrices[1:]]])
    every = (times.size - 1) // stations
    return times[::every], matrices[::every]


def _over_part(map_: ReturnMap, x: Array, step: float, stations: int) -> tuple[Array, Array]:
    """transition() over one part of the revolution, as it is seen before the image is taken."""
    n = x.size
    count = map_.steps // map_.parts // stations
    out = np.empty((stations + 1, n, n))
    out[0] = np.eye(n)
    times = np.zeros(stations + 1)
    y = map_.full(x)
    for j in range(stations):
        times[j + 1] = times[j] + map_.advance(y, count)
    for i in range(n):
        ends = []
        for side in (step, -step):
            moved = x.copy()
            moved[i] += side
            y = map_.full(moved)
            here = []
            for _ in range(stations):
                map_.advance(y, count)
                here.append(map_.reduced(y))
            ends.append(here)
        for j in range(stations):
            out[j + 1, :, i] = (ends[0][j] - ends[1][j]) / (2.0 * step)
    return times, out


@dataclass(frozen=True, eq=False)
class Floquet:
    """Small disturbances of a steady motion, one row a mode (of a complex pair the one of positive frequency), fastest growing first.

    map         : the return map
    times       : (stations + 1,) [s]
    exponents   : (modes,) complex [1/s], branch as at the top of this file
    harmonic    : (modes,) m that was added to the principal branch
    shapes      : (modes, stations + 1, n) complex: free coordinates in scales at each azimuth, growth and rotation of the exponent
        taken out, so that the first and the last agree up to the harmonic
    shares      : (modes, n) participation of each coordinate, mean over the azimuths, sums to one
    error       : (modes,) of growth and frequency [1/s], nan if not asked for
    """

    map: ReturnMap
    times: Array
    exponents: Complex
    harmonic: NDArray[np.int64]
    shapes: Complex
    shares: Array
    error: Array

    @property
    def worst(self) -> float:
        """Growth of the fastest growing mode [1/s]."""
        return float(self.exponents[0].real)


def floquet(map_: ReturnMap, x: Array, check: bool = False) -> Floquet:
    """Modes of a steady motion.

    map_, x : return map and its fixed point
    check   : measure the error of the exponents too (three times the work)
    """
    times, matrices = transition(map_, x, stations=STATIONS)
    period = float(times[-1])
    multipliers, left, right = eig(matrices[-1], left=True)
    principal = np.log(multipliers.astype(np.complex128)) / period
    lone = [i for i, s in enumerate(principal) if s.imag >= 0.0 or abs(s.imag) > math.pi / period * (1.0 - 1e-9)]
    error = np.full(multipliers.size, math.nan)
    if check:
        change = _matrix_error(map_, x, matrices[-1], period)
        for i in range(multipliers.size):
            mode = left[:, i].conj() / (left[:, i].conj() @ right[:, i] * multipliers[i])
            error[i] = sum(abs(mode @ d @ right[:, i] - principal[i] * longer) / period for d, longer in change)
    # shape of each mode round the revolution, and its inverse for the participation
    carried = matrices @ right * np.exp(-np.multiply.outer(times, principal))[:, None, :]
    inverse = np.linalg.inv(carried)
    part = np.abs((carried * np.swapaxes(inverse, 1, 2))[:-1].mean(axis=0))
    part /= part.sum(axis=0)
    omega = 2.0 * math.pi / period
    shift = np.zeros(multipliers.size, dtype=np.int64)
    for i in lone:
        content = [still_content(map_, carried[:-1, :, i], m) for m in _SHIFTS]
        content[0] *= _PREFER
        shift[i] = _SHIFTS[int(np.argmax(content))]
    value = principal + 1j * shift * omega
    keep = sorted(lone, key=lambda i: -value[i].real)
    shapes = np.swapaxes(carried[:, :, keep], 0, 2).swapaxes(1, 2)
    turn = np.exp(-1j * omega * np.multiply.outer(shift[keep], times))
    flip = value[keep].imag < 0.0
    shapes = shapes * turn[:, :, None]
    shapes[flip] = shapes[flip].conj()
    values = np.where(flip, value[keep].conj(), value[keep])
    return Floquet(map_, times, values, shift[keep], shapes, part[:, keep].T, error[keep])


def _matrix_error(map_: ReturnMap, x: Array, matrix: Array, period: float) -> list[tuple[Array, float]]:
    """What matrix and period lack, estimated: of the differences (half the step, Richardson), of the integrator (twice the steps).

    Central differences err as h^2: M(h) - M(h/2) is three quarters of the error at h. Fourth-order steps: M(steps) - M(2 steps) is 15/16.
    Finer steps have another fixed point too, one step of Newton away: where the sections' tables bend, the exponents there differ by
    more than those of the two maps at one point (tests/stability/test_margins.py).
    """
    half = transition(map_, x, 0.5 * STEP)[1][-1]
    finer = map_.with_steps(2 * map_.steps)
    there = x + np.linalg.solve(np.eye(x.size) - matrix, finer.revolution(x) - x)
    times, fine = transition(finer, there)
    return [((matrix - half) * 4.0 / 3.0, 0.0), ((matrix - fine[-1]) * 16.0 / 15.0, (period - times[-1]) * 16.0 / 15.0)]


def azimuths(map_: ReturnMap, count: int) -> Array:
    """Rotor azimuths of the stations, without the last [rad]."""
    return np.arange(count) * 2.0 * math.pi / count


def plane_tilt(map_: ReturnMap, shape: Complex, harmonic: int = 0) -> tuple[Complex, Complex]:
    """Tilt of the bar's and of the blades' plane relative to the body, as seen from the body, in one harmonic of the revolution.

    shape   : (stations, n) of a mode, in scales, last station left out
    Returns : bar (2,), blades (2,): cosine and sine of azimuth, up over the tail and up at azimuth 90 degrees [rad]

    One seesaw knows its plane only along its own arm, eta = a cos psi + b sin psi for a plane that stands: a = 2 <eta cos psi>.
    Blades on hinges of their own: multi-blade coordinates a = (2/N) sum beta_i cos psi_i, exact at any moment for N > 2.
    """
    psi = azimuths(map_, shape.shape[0])
    turn = np.exp(-1j * harmonic * psi)
    p = map_.numbers.params[0]

    def seen(angle: Complex, at: Array) -> Complex:
        return np.array([np.mean(2.0 * angle * np.cos(at) * turn), np.mean(2.0 * angle * np.sin(at) * turn)])

    bar = np.zeros(2, dtype=np.complex128)
    which = map_.find("bar_angle")
    if which >= 0:
        bar = seen(shape[:, which] * map_.scale[which], arm_azimuth(psi, p["bar_lead"]))
    blades = np.zeros(2, dtype=np.complex128)
    flaps = [i for k in range(map_.nf) if (i := map_.find("flap", k)) >= 0]
    for k, i in enumerate(flaps):
        blades += seen(shape[:, i] * map_.scale[i], blade_azimuth(psi, k, len(flaps))) / len(flaps)
    return bar, blades


def still_content(map_: ReturnMap, shape: Complex, harmonic: int) -> float:
    """Strength of one harmonic of a mode in what does not turn with the rotor (sum of squares, in scales)."""
    psi = azimuths(map_, shape.shape[0])
    turning = ("bar_angle", "bar_rate", "flap", "flap_rate")
    still = [i for i, c in enumerate(map_.coordinates) if c.row not in turning]
    mean = (shape[:, still] * np.exp(-1j * harmonic * psi)[:, None]).mean(axis=0)
    total = float(np.sum(np.abs(mean) ** 2))
    for plane, row in zip(plane_tilt(map_, shape, harmonic), ("bar_angle", "flap"), strict=True):
        which = map_.find(row)
        if which >= 0:
            total += float(np.sum(np.abs(plane) ** 2)) / map_.scale[which] ** 2
    return total
