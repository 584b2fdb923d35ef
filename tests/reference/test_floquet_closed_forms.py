"""Floquet's exponents where a closed form is known: flapping, a free spinning body, the bar alone.

Source : references.md 3.5 item 3 and 4.1 items 2, 3 [C]; nutation of a body with a rotor: I_r Omega / I_t, any text on gyroscopes [M].
How    : the rig of the other reference tests (parts held, straight sections), or a craft without air and weight; always through the
         return map and the exponents that margins use. A frequency is known up to whole multiples of the rotor's: compared so.
Broken : tried, failed: exponents taken over twice the period (all); strongest harmonic not added (both fast nutations); principal
         branch not preferred (paddles).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.flight import layout
from paddlebar.stability.floquet import Floquet, floquet
from paddlebar.stability.return_map import ReturnMap
from reference.rig import SHAFT, Rig, craft
from reference.test_bar_following import INERTIA, PADDLES
from reference.test_bar_following import rig as bar_rig
from reference.test_flapping import rotor

pytestmark = pytest.mark.reference

SPEED = 48.0
LOCKS = [4.0, 8.0, 12.0, 22.05, 44.1]


def still_modes(rig: Rig, speed: float = SPEED, steps: int = 144, at: np.ndarray | None = None) -> Floquet:
    """Modes about a motion at which everything that is free stands still."""
    base = rig.still(speed) if at is None else at
    map_ = ReturnMap(rig.numbers, steps, base)
    x = map_.reduced(base)
    assert np.abs(map_.residual(x)).max() < 1e-9
    return floquet(map_, x)


def near(found: np.ndarray, wanted: complex, turn: float = SPEED) -> complex:
    """The exponent nearest to the wanted one, whole revolutions added."""

    def moved(s: complex) -> complex:
        either = [s, s.conjugate()]
        return min((v + 1j * turn * round((wanted - v).imag / turn) for v in either), key=lambda v: abs(v - wanted))

    return min((moved(complex(s)) for s in found), key=lambda s: abs(s - wanted))


@pytest.mark.phenomenon(
    "flapping, damping", source="3.5", conditions="Floquet's exponents, body held", why="own choice"
)
@pytest.mark.parametrize("lock", LOCKS)
@pytest.mark.parametrize("head", ["flapping", "teetering"])
def test_flapping_exponents_of_a_held_body(evidence, lock, head):
    """3.5 item 3, s/Omega = -gamma/16 +- i (1 - (gamma/16)^2)^0.5, two real roots above 16; 1 %. The body is held: as heavy as can be.

    At gamma 44.1 the faster root decays by exp(-33) in a revolution, which no return map in double precision can tell: left out."""
    found = still_modes(rotor(lock, head, gravity=0.0))
    half = lock / 16.0
    inside = complex(1.0 - half * half) ** 0.5
    roots = [-half + 1j * inside] if half < 1.0 else [-half - 1j * inside, -half + 1j * inside]
    for root in roots:
        if root.real < -5.0:
            continue
        wanted = SPEED * complex(root)
        got = near(found.exponents, wanted)
        evidence(
            f"growth of flapping, root {roots.index(root) + 1}, gamma {lock:g}, {head}",
            got.real,
            wanted.real,
            0.01,
            unit="1/s",
        )
        assert got.imag == pytest.approx(wanted.imag, abs=0.01 * SPEED)


def free_body(rig: Rig, mass: float, inertia: tuple[float, float, float]) -> Rig:
    """Let the body go; its centre is the hub, so that nothing but inertia counts."""
    rig.p.base_locked = 0
    rig.p.body_mass = mass
    rig.p.body_moment[:] = 0.0
    rig.p.body_inertia[...] = np.diag(inertia)
    return rig


def heavy(times: float) -> Rig:
    """A free body under two teetering blades, `times` as heavy as the usual 5 g, in air without weight."""
    return free_body(rotor(8.0, "teetering", gravity=0.0), 5e-3 * times, (2e-5 * times, 2e-5 * times, 4e-5 * times))


def test_flapping_exponent_tends_to_the_heavy_bodys():
    """The free body: -gamma/16 Omega is reached as the body gets heavier, its error falling with one over the mass; 1 % at 1000 x."""
    wanted = SPEED * (-0.5 + 1j * math.sqrt(0.75))
    error = []
    for times in (1.0, 10.0, 100.0, 1000.0):
        got = near(still_modes(heavy(times)).exponents, wanted)
        error.append(abs(got - wanted) / abs(wanted))
        print(f"body x {times:g}: {got:.4f}, {100 * error[-1]:.3f} % from {wanted:.4f}")
    assert error[0] > error[1] > error[2] > error[3]
    assert error[2] / error[3] == pytest.approx(10.0, rel=0.2)
    assert error[3] < 0.01


def spinning(blades: int, across_body: float) -> tuple[Rig, float, float]:
    """Rigid rotor on a free body in empty space: rig, spin inertia of what turns, inertia of all across the shaft."""
    rig = Rig(craft(rotor={"blades": blades, "blade_mass_g": 1.0}, head={"kind": "rigid"}), gravity=0.0)
    rig.vacuum()
    rig.p.rho = 0.0
    free_body(rig, 5e-3, (across_body, across_body, 1e-5))
    p = rig.p
    m, c, j = float(p.blade_mass), p.blade_centre, p.blade_inertia
    flat = float(j[2, 2]) + m * float(c[0] ** 2 + c[1] ** 2)  # a blade about the shaft
    flapped = float(j[1, 1]) + m * float(c[0] ** 2 + c[2] ** 2)
    rolled = float(j[0, 0]) + m * float(c[1] ** 2 + c[2] ** 2)
    return rig, blades * flat, blades * 0.5 * (flapped + rolled) + across_body


@pytest.mark.phenomenon(
    "gyroscope",
    source="3.6",
    conditions="free body under four rigid blades in a vacuum, Floquet's exponents",
    why="own choice",
)
@pytest.mark.parametrize("across_body", [4e-4, 5e-5, 5e-6])
def test_nutation_of_a_free_spinning_body(evidence, across_body):
    """A body that does not spin under a turning rotor of four blades nutates at I_r Omega / I_t, slower or faster than half the
    rotor's speed: the branch is found by the body's own motion; 0.1 %, and no growth."""
    rig, polar, across = spinning(4, across_body)
    found = still_modes(rig, steps=144)
    wanted = SPEED * polar / across
    k = int(np.argmin(np.abs(np.abs(found.exponents.imag) - wanted)))
    evidence(
        f"nutation, {wanted / SPEED:.2f} of the rotor's speed",
        abs(float(found.exponents[k].imag)),
        wanted,
        1e-3,
        unit="rad/s",
    )
    assert abs(float(found.exponents[k].real)) < 1e-3 * SPEED


BAR = pytest.mark.phenomenon("bar, following rate", source="4.1", conditions="Floquet's exponents", why="own choice")


@BAR
@pytest.mark.parametrize("damping_mn_m_s", [0.01, 0.05, 0.2])
def test_following_rate_of_a_damped_bar(evidence, damping_mn_m_s):
    """4.1 item 2: the plane follows the shaft with 2 I/c: decay c/2I; 0.1 %."""
    found = still_modes(bar_rig(damping_mN_m_s=damping_mn_m_s))
    evidence(
        f"following rate, damper {damping_mn_m_s:g} mN m s",
        -float(found.exponents[0].real),
        0.5e-3 * damping_mn_m_s / INERTIA,
        1e-3,
        unit="1/s",
    )


@BAR
def test_following_rate_of_paddles_and_its_branch(evidence):
    """4.1 item 3: gamma_bar .7304, tau = 16/(gamma_bar Omega) = .456 s; 1 %. It swings at (about) one a revolution on its hub; seen
    from the body the plane hardly turns, Omega (1 - (1 - (gamma/16)^2)^0.5), and that is what is reported."""
    found = still_modes(bar_rig(air=True, **PADDLES))
    evidence(
        "following time of paddles",
        -1.0 / float(found.exponents[0].real),
        0.456,
        0.01,
        unit="s",
        why="three digits of .456; own choice",
    )
    drift = SPEED * (1.0 - math.sqrt(1.0 - (0.7304 / 16.0) ** 2))
    assert abs(found.exponents[0].imag) == pytest.approx(drift, abs=2e-3)
    assert found.harmonic[0] == 0
    assert found.map.find("rotor_speed") == -1
    assert found.map.numbers.params[0]["locked"][SHAFT] == 1
    assert [c.row for c in found.map.coordinates] == ["bar_angle", "bar_rate"]
    assert found.map.base[layout.ROTOR_SPEED] == SPEED
