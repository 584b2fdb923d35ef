"""Rigid-body mechanics against MuJoCo, a general-purpose multibody engine (reference/mujoco_model.py): the craft of
models/hall-ten.toml in a vacuum, tumbling with rotor, bar and tail rotor turning, two seconds, either hand.

Required are 0.05 degree of attitude and of every joint angle after two seconds. The tests ask for less, and say why:

- where MuJoCo integrates by itself (no linkage, no cord), the error of its fourth-order method at a step of 0.1 ms is left, about
  1e-7 degree: 1e-6 is asked, and that the difference falls by 2^4 as it halves its step, which a wrong equation cannot imitate;
- where the linkage and the cord tie joints together, MuJoCo's own equality constraints would be soft; its mass matrix and bias are
  projected instead and integrated by scipy, so only the solvers' tolerances (1e-10, 1e-11) are left: 1e-5 degree is asked, 1e-7 was seen.

A seesaw rotor without springs has nothing to hold it in a vacuum; it becomes unstable and then chaotic (two neighbouring states
part by 1e9 in two seconds), which no two programs can follow alike. So the hinges of two-second flights have springs, and the
flight without springs ends while its teeter is below a right angle.

Tried once on broken code: the sign of delta-3, the feathering share left out of the bar's equation, the gyroscopic part of feathering,
the tail rotor's gyroscopic moment, the cord's ratio left out, omega x J omega left out; each failed here.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from evidence import Recorder
from paddlebar.craft.build import Numbers
from paddlebar.flight import derive, layout
from paddlebar.flight.rhs import POTENTIAL
from reference.mujoco_model import History, Stepped, Tied
from reference.still_craft import add_spring_motor, fly, numbers_of, random_craft, random_state, rates, without_air

Array = NDArray[np.float64]

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon("rigid bodies", source="12", why="solvers' tolerances and rounding, see the file"),
]

HANDS = ("counter-clockwise", "clockwise")
NOTHING: Mapping[str, object] = MappingProxyType({})
UNEQUAL = {
    "craft.rotor.blade_masses_g": [0.73, 0.63],
    "craft.rotor.blade_pitches_deg": [7.0, 11.0],
    "craft.bar.tip_masses_g": [0.5, 0.7],
}


def tumbling(numbers: Numbers, rate: tuple[float, float, float]) -> Array:
    """Leaning, turning about all axes; rotor and tail at speed, bar and teeter off their middle and moving."""
    y = np.zeros(layout.state_size(1))
    at = layout.slices(1)
    y[at["position"]] = [1.0, -2.0, -30.0]
    y[at["attitude"]] = Rotation.from_euler("ZYX", [40.0, -25.0, 35.0], degrees=True).as_quat(scalar_first=True)
    y[at["velocity_body"]] = [0.3, -0.2, 0.1]
    y[at["rate_body"]] = rate
    y[layout.ROTOR_SPEED] = 70.0
    y[layout.BAR_ANGLE], y[layout.BAR_RATE] = 0.15, 2.0
    y[at["flap"]], y[at["flap_rate"]] = 0.05, -3.0
    p = numbers.params[0]
    y[layout.TAIL_SPEED] = 70.0 * p["cord_ratio"] if p["cord_mode"] == 1 else 200.0
    return y


def differences(ours: Array, theirs: History) -> tuple[float, float, float]:
    """Largest difference of attitude [deg], of a joint angle [deg], of place [m]."""
    at = layout.slices(1)
    turned = Rotation.from_quat(ours[:, at["attitude"]], scalar_first=True).inv() * Rotation.from_quat(
        theirs.attitude, scalar_first=True
    )
    joints = ours[:, [layout.ROTOR_AZIMUTH, layout.BAR_ANGLE, layout.TAIL_ANGLE, layout.FLAP]]
    return (
        float(np.degrees(turned.magnitude().max())),
        float(np.degrees(np.abs(joints - theirs.joints).max())),
        float(np.abs(ours[:, :3] - theirs.place).max()),
    )


def no_linkage(hand: str, more: Mapping[str, object] = NOTHING) -> Numbers:
    """Case A: springs in the hinges, blade pitch fixed, tail rotor free, no gravity."""
    numbers = without_air(numbers_of({"craft.shaft.turns": hand, **more}))
    p = numbers.params[0]
    p["gravity"] = 0.0
    p["feather_share"], p["flap_coupling"] = 0.0, 0.0
    p["cord_mode"], p["locked"][8] = 0, 0
    p["flap_spring"], p["bar_spring"] = 20e-3, 10e-3
    p["flap_damper"], p["bar_damper"] = 2e-6, 1e-6
    return numbers


def linkage(hand: str, more: Mapping[str, object] = NOTHING) -> Numbers:
    """Case B: motor, bar that pitches the blades, delta-3, cord that grips, gravity."""
    numbers = without_air(numbers_of({"craft.shaft.turns": hand, "craft.head.delta3_deg": 20.0, **more}))
    p = numbers.params[0]
    p["flap_spring"], p["bar_spring"] = 20e-3, 10e-3
    p["flap_damper"], p["bar_damper"] = 2e-6, 1e-6
    add_spring_motor(numbers, 0.5e-3, 30.0)
    return numbers


@pytest.mark.parametrize("hand", HANDS)
def test_tumbling_craft_is_mujocos(evidence: Recorder, hand: str) -> None:
    """Case A, all of it left to MuJoCo: two seconds, and the difference falls by 2^4 when MuJoCo halves its step."""
    numbers = no_linkage(hand)
    y = tumbling(numbers, (1.1, -0.8, 1.5))
    times = np.linspace(0.0, 2.0, 21)
    ours = fly(numbers, y, times)
    coarse = differences(ours, Stepped(numbers.params[0], 2e-4).fly(y, times))
    fine = differences(ours, Stepped(numbers.params[0], 1e-4).fly(y, times))
    about = {"conditions": f"hall-ten in a vacuum, tumbling 2 s, no linkage, {hand}"}
    evidence(
        "attitude and joint angles, farthest from MuJoCo's", max(fine[:2]), 0.0, absolute=1e-6, unit="deg", **about
    )
    order = max(coarse[:2]) / max(fine[:2])
    evidence("that distance, over the one at half MuJoCo's step", order, (12.0, 20.0), why="fourth order: 16", **about)


@pytest.mark.parametrize("hand", HANDS)
def test_free_seesaws_are_mujocos(evidence: Recorder, hand: str) -> None:
    """Case A without springs, as long as the teeter stays below a right angle, at most 0.6 s."""
    numbers = no_linkage(hand)
    for name in ("flap_spring", "bar_spring", "flap_damper", "bar_damper"):
        numbers.params[0][name] = 0.0
    y = tumbling(numbers, (0.35, -0.3, 1.5))
    times = np.linspace(0.0, 0.6, 25)
    ours = fly(numbers, y, times)
    followed = np.abs(np.degrees(ours[:, layout.FLAP])) < 90.0
    count = int(followed.argmin()) if not followed.all() else times.size
    assert times[count - 1] > 0.3
    found = differences(ours[:count], Stepped(numbers.params[0], 5e-5).fly(y, times[:count]))
    about = f"hall-ten in a vacuum, tumbling {times[count - 1]:.2f} s, no springs, {hand}"
    evidence(
        "attitude and joint angles, farthest from MuJoCo's",
        max(found[:2]),
        0.0,
        absolute=1e-5,
        unit="deg",
        conditions=about,
    )


@pytest.mark.parametrize("hand", HANDS)
def test_linked_and_driven_craft_is_mujocos(evidence: Recorder, hand: str) -> None:
    """Case B: two seconds with motor torque, linkage gain, delta-3, cord and gravity."""
    numbers = linkage(hand)
    y = tumbling(numbers, (1.1, -0.8, 1.5))
    times = np.linspace(0.0, 2.0, 21)
    found = differences(fly(numbers, y, times), Tied(numbers.params[0]).fly(y, times))
    about = {"conditions": f"hall-ten in a vacuum, 2 s with motor, linkage, delta-3, cord, gravity, {hand}"}
    evidence(
        "attitude and joint angles, farthest from MuJoCo's", max(found[:2]), 0.0, absolute=1e-5, unit="deg", **about
    )
    evidence("place, farthest from MuJoCo's", found[2], 0.0, absolute=1e-7, unit="m", **about)


@pytest.mark.parametrize("hand", HANDS)
def test_unequal_blades_and_tips_are_mujocos(evidence: Recorder, hand: str) -> None:
    """Cases A and B with blades of 0.73 and 0.63 g, 7 and 11 deg, and bar tips of 0.5 and 0.7 g, as a file says them."""
    y = tumbling(no_linkage(hand), (1.1, -0.8, 1.5))
    times = np.linspace(0.0, 2.0, 21)
    free, tied = no_linkage(hand, UNEQUAL), linkage(hand, UNEQUAL)
    found = differences(fly(free, y, times), Stepped(free.params[0], 1e-4).fly(y, times))
    about = {"conditions": f"hall-ten with unequal blades and tips in a vacuum, tumbling 2 s, no linkage, {hand}"}
    evidence(
        "attitude and joint angles, farthest from MuJoCo's", max(found[:2]), 0.0, absolute=1e-6, unit="deg", **about
    )
    y = tumbling(tied, (1.1, -0.8, 1.5))
    ours = fly(tied, y, times)
    found = differences(ours, Tied(tied.params[0]).fly(y, times))
    about = {"conditions": f"hall-ten with unequal blades and tips, 2 s with motor, linkage, cord, gravity, {hand}"}
    evidence(
        "attitude and joint angles, farthest from MuJoCo's", max(found[:2]), 0.0, absolute=1e-5, unit="deg", **about
    )
    alike = fly(linkage(hand), y, times)
    assert np.abs(ours[:, :3] - alike[:, :3]).max() > 1e-4  # a tenth of a millimetre: they do shake it


@pytest.mark.parametrize("unequal", [False, True], ids=["alike", "unequal"])
@pytest.mark.parametrize(("head", "blades"), [("teetering", 2), ("flapping", 3), ("rigid", 4)])
def test_accelerations_and_energy_are_mujocos(evidence: Recorder, head: str, blades: int, unequal: bool) -> None:
    """Any craft at any state: accelerations to 1e-9 of each, kinetic and potential energy to 1e-12.

    Rounding (1e-16) times the condition of the mass matrix (1e4 to 1e5) leaves 1e-11 of an acceleration, more of one that happens to be small;
    the energy needs no solution and no difference.
    """
    worst = energy = 0.0
    for k in range(40):
        rng = np.random.default_rng([5, blades, k])
        numbers = random_craft(rng, head, blades, hand=1.0 - 2.0 * (k % 2), cord=k % 4 > 1, unequal=unequal)
        p = numbers.params[0]
        nf = int(p["flaps"])
        at = layout.slices(nf)
        y = random_state(rng, nf, p)
        craft = Tied(p)
        coordinates, u = craft.start(y)
        _, want = craft.rates(coordinates, u)
        dy = rates(numbers, y)
        earth = Rotation.from_quat(y[at["attitude"]], scalar_first=True)
        linear = earth.apply(dy[at["velocity_body"]] + np.cross(y[at["rate_body"]], y[at["velocity_body"]]))
        joints = dy[[layout.ROTOR_SPEED, layout.BAR_RATE, layout.TAIL_SPEED]]
        got = np.concatenate([linear, dy[at["rate_body"]], joints, dy[at["flap_rate"]]])
        worst = max(worst, float(np.max(np.abs(got - want) / np.abs(want))))
        row = derive.derived(np.zeros(1), y[None, :], numbers)[0]
        mine, theirs = float(row[derive.KINETIC] + row[POTENTIAL]), craft.energy(coordinates, u)
        theirs -= 0.5 * float(p["bar_spring"]) * float(y[layout.BAR_ANGLE]) ** 2
        energy = max(energy, abs(mine - theirs) / abs(theirs))
    about = {
        "conditions": f"40 craft by chance at random states, {head} head, {blades} blades{', unequal' if unequal else ''}, vacuum"
    }
    evidence("accelerations, worst share by which they differ from MuJoCo's", worst, 0.0, absolute=1e-9, **about)
    evidence("energy, worst share by which it differs from MuJoCo's", energy, 0.0, absolute=1e-12, **about)
