"""Yaw in closed form: the tail's moment is the shaft's reaction, the skein's power is what its takers take.

Source : references.md 8 [C]: T l = Q; tilt = T/W; P = T^1.5 / (FM sqrt(2 rho A)). Angular momentum and power of a steady craft, any textbook.
Kind   : closed forms on a steady craft (held level over one place about its CG, free to turn, climb and run); the loads come from the
         right-hand side, the arms and sums from here. Whole flights for the sign of the spin and the drift.
Allowed: 0.5 % for the steady craft, a quarter of what was asked (what the closed form leaves out: forces of the hub in its plane).
Broken : tried, failed: the tail's arm taken from the builder's datum instead of the CG, the tail's hub moment of the wrong sign, the
         bar's torque left out, the drive's loss left out.
"""

from __future__ import annotations

import functools
import math
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from paddlebar import load_scenario, stand, yaw
from paddlebar.craft.build import all_up_mass, build
from paddlebar.flight import authority, derive, layout, rhs
from paddlebar.physics.cord import drive_loss
from paddlebar.stability.return_map import ReturnMap, freeze
from paddlebar.studies.yaw_moments import down_moments
from reference.rig import within

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "tail rotor",
        source="8",
        conditions="first-flight, steady, no spin",
        why="a quarter of what was asked; forces of the hub in its plane are left out",
    ),
]
SCENARIO = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
STEPS = 72


def at_its_centre(numbers):
    """The same craft with its datum moved to the centre of gravity, so that holding the datum puts no moment on the body."""
    p = numbers.params[0]
    c = authority.centre(numbers)
    m, x = float(p["body_mass"]), p["body_moment"] / p["body_mass"]

    def about(d):
        return m * (d @ d * np.eye(3) - np.outer(d, d))

    p["body_inertia"] += about(x - c) - about(x)
    p["body_moment"] -= m * c
    for name in ("hub_place", "tail_place"):
        p[name] -= c
    p["st_place"][: p["stations"]] -= c
    return numbers


@functools.cache
def steady(torque=4.2e-3, plain=False):
    """The shipped craft, torque frozen so that it climbs (or `plain`: held in height, out of the wash), the ratio such that it does not spin.

    Returns: record, ratio, loads (COLUMNS,), mean states, moments of airframe and tail [N m]
    """
    numbers = at_its_centre(freeze(build(load_scenario(SCENARIO)), 200.0))
    p = numbers.params[0]
    p["skein"]["steady"] = torque
    p["locked"][[0, 1, 3, 4]] = 1
    if plain:  # nothing crosses the tail's disc: no climb, no wash
        p["locked"][2] = 1
        p["tail_wash_down"] = p["tail_wash_up"] = 0.0

    def turn(ratio):
        p["cord_ratio"] = ratio
        map_ = ReturnMap(numbers, STEPS)
        y = map_.base.copy()
        y[layout.ROTOR_SPEED], y[layout.TAIL_SPEED] = 45.0, 45.0 * ratio
        y[layout.INFLOW] = y[layout.TAIL_INFLOW] = 0.8
        for _ in range(90):
            y[layout.ROTOR_AZIMUTH] = 0.0
            map_.advance(y, STEPS)
        y[layout.ROTOR_AZIMUTH] = 0.0
        states = []
        for _ in range(STEPS):
            states.append(y.copy())
            map_.advance(y, 1)
        return np.array(states)

    def spin(ratio):
        return float(turn(ratio)[:, layout.RATE_BODY + 2].mean())

    ratio = float(brentq(spin, 2.0, 6.0, xtol=1e-6))
    states = turn(ratio)
    loads = derive.derived(np.zeros(STEPS), states, numbers)
    moments = down_moments(
        states,
        np.ascontiguousarray(loads[:, rhs.ROTOR_CLIMB]),
        numbers.params,
        numbers.tables,
        authority.centre(numbers),
    )
    return numbers, ratio, loads.mean(axis=0), states.mean(axis=0), moments.mean(axis=0)


def test_it_is_steady():
    numbers, _, loads, states, _ = steady()
    assert abs(states[layout.RATE_BODY + 2]) < 1e-4
    assert -states[layout.VELOCITY_BODY + 2] > 0.0  # climbs: away from the vortex ring
    assert loads[rhs.THRUST] == pytest.approx(9.80665 * all_up_mass(numbers.params), rel=0.1)
    assert np.abs(authority.centre(numbers)).max() < 1e-12


def test_the_tails_moment_is_the_shafts_reaction(evidence):
    """T l + M = Q of rotor and bar about the vertical + the airframe in the wash; M is that of the tail's hub, which the wash across its
    disc makes, because its blades have no hinges. Asked is 2 %, seen 0.23 %. T l alone, as builders reckon, is printed: 2.4 % high."""
    numbers, ratio, loads, _, (frame, tail) = steady()
    p = numbers.params[0]
    alone = loads[rhs.TAIL_THRUST] * -float(p["tail_place"][0])
    torque = (loads[rhs.TORQUE] + loads[rhs.BAR_TORQUE]) * -float(p["shaft_axis"][2])
    print(
        f"ratio {ratio:.3f}: T l {1e3 * alone:.4f}, with the hub {-1e3 * tail:.4f}, Q {1e3 * torque:.4f}, airframe {1e3 * frame:+.4f} mN m"
    )
    evidence("moment of the tail against the shaft's reaction", -float(tail), float(torque + frame), 0.005, unit="N m")
    assert alone == pytest.approx(-tail, rel=0.05)


def test_the_shaft_gives_what_its_takers_take(evidence):
    """Skein torque = rotor + bar + bearing + ratio (tail + loss of the drive). Seen: 0.00 %."""
    numbers, ratio, loads, states, _ = steady()
    p = numbers.params[0]
    lost = -drive_loss(loads[rhs.TAIL_TORQUE], p["cord_loss"], p["tail_friction"], states[layout.TAIL_SPEED])
    taken = loads[rhs.TORQUE] + loads[rhs.BAR_TORQUE] + p["shaft_friction"] + ratio * (loads[rhs.TAIL_TORQUE] + lost)
    evidence(
        "torque of rotor, bar, bearing and tail drive against the skein's",
        taken,
        loads[rhs.SKEIN_TORQUE],
        0.005,
        unit="N m",
    )


def test_power_splits_as_torque_times_speed(evidence):
    """P_skein = Q Omega + P_bar + P_tail + losses, with no spin: each at its own speed. Seen: 0.00 %. Beside it references 8's figures."""
    numbers, _, loads, states, _ = steady()
    p = numbers.params[0]
    omega, tail = states[layout.ROTOR_SPEED], states[layout.TAIL_SPEED]
    lost = -drive_loss(loads[rhs.TAIL_TORQUE], p["cord_loss"], p["tail_friction"], tail)
    tail_power = loads[rhs.TAIL_TORQUE] * tail
    skein = loads[rhs.SKEIN_TORQUE] * omega
    parts = (loads[rhs.TORQUE] + loads[rhs.BAR_TORQUE] + p["shaft_friction"]) * omega + tail_power + lost * tail
    evidence("power of rotor, bar, bearing and tail against the skein's", parts, skein, 0.005, unit="W")
    thrust = loads[rhs.TAIL_THRUST]
    ideal = thrust**1.5 / math.sqrt(2.0 * p["rho"] * math.pi * p["tail_radius"] ** 2)
    print(
        f"tail: {1e3 * thrust:.1f} mN, {1e3 * tail_power:.1f} mW, {tail_power / skein:.1%} of the skein's power, figure of merit {ideal / tail_power:.2f}"
    )
    print("references 8: 14.4 mN, 44 mW, 32 % at a figure of merit of .35 and 80 mm diameter; full size 5-15 % [M]")
    assert 0.3 < ideal / tail_power < 0.75  # what rotors of this size reach, on either side of the .35 assumed there
    evidence(
        "tail's share of the skein's power",
        tail_power / skein,
        (0.05, 0.32),
        why="from full size to 32 %, the example of references 8",
    )


def test_the_figures_of_the_references_are_those_of_their_closed_forms():
    """T = Q/l, tilt = atan(T/W), P = T^1.5 / (FM sqrt(2 rho A)) for Q 2.9 mN m, l .20 m, 10 g, R_t 40 mm, FM .35."""
    thrust = 2.9e-3 / 0.20
    within("tail thrust [N]", thrust, 14.4e-3, 0.01)
    within("hang [deg]", math.degrees(math.atan(thrust / (10e-3 * 9.80665))), 8.3, 0.02)
    area = math.pi * 0.04**2
    within("tail power [W]", 14.4e-3**1.5 / (0.35 * math.sqrt(2.0 * 1.225 * area)), 44e-3, 0.02)


def test_the_tail_in_still_air_is_the_tail_on_the_stand():
    """Thrust and torque at its speed, one inflow state and three elements against rings of momentum theory. 5 %: the radial shape of
    the inflow is kept from hover. In the climb, with 0.6 m/s across its disc, the same tail gives an eighth more (translational lift)."""
    numbers, ratio, loads, states, _ = steady(plain=True)
    scenario = load_scenario(SCENARIO, {"craft.tail.drive_pulley_mm": 5.0 * ratio})
    point = stand(scenario.craft, float(states[layout.ROTOR_SPEED]) * 30.0 / math.pi)
    assert abs(loads[rhs.EDGEWISE]) < 1e-6
    within("tail thrust, flight over stand", float(loads[rhs.TAIL_THRUST]), point.tail_thrust_n, 0.05)
    within("tail torque, flight over stand", float(loads[rhs.TAIL_TORQUE]), point.tail_torque_nm, 0.05)
    _, at, climbing, _, _ = steady()
    print(f"across its disc in the climb {climbing[rhs.EDGEWISE]:.2f} m/s (ratio {at:.2f} against {ratio:.2f})")


@functools.cache
def shipped():
    return yaw(load_scenario(SCENARIO), [4.1, 4.6, 5.1], [10.0])


@pytest.mark.slow
def test_spin_changes_sign_across_the_balancing_ratio_and_the_nose_stays_there():
    """The shipped craft: right below, left above; at the best ratio the nose drifts by 22 deg/s on average, left and right alike:
    on today's section data; it was under 20 on those before. No single ratio stills it, and the reason is said."""
    y = shipped()
    spin = y.mean_spin_deg_s[0, 0]
    print(f"spin {spin}, balance {y.balance}, residual {y.residual_deg_s}\n{y.reason}")
    assert spin[0] > 20.0
    assert spin[-1] < -20.0
    assert y.ratios[0] < y.balance.mean < y.ratios[-1]
    assert y.ratios[0] < y.balance.best < y.ratios[-1]
    assert y.balance.best_drift_deg_s < 25.0


@pytest.mark.slow
def test_tail_thrust_and_hang_of_a_free_flight(evidence):
    """T = Q/l in flight too (10 %: the nose swings, the fin works); the body leans against the push, at most by atan(T/W): what drag
    of the side drift and the tail below the hub take is left."""
    y = shipped()
    print(
        f"T {y.tail_thrust_mn:.2f}, Q/l {y.tail_thrust_closed_form_mn:.2f} mN; lean {y.hang_deg:.2f}, atan(T/W) {y.hang_closed_form_deg:.2f} deg"
    )
    evidence(
        "tail thrust in free flight against Q/l",
        y.tail_thrust_mn,
        y.tail_thrust_closed_form_mn,
        0.10,
        unit="mN",
        why="the nose swings, the fin works",
    )
    assert 0.4 * y.hang_closed_form_deg < y.hang_deg < 1.1 * y.hang_closed_form_deg


@pytest.mark.slow
def test_a_spinning_craft_circles_as_its_side_force_asks(evidence):
    """m omega^2 r = the tail's push, which turns with the body. 25 %: lean and drag add to it."""
    y = shipped()
    run = y.run.at((0, 0, 0))
    middle = slice(10, 14)
    omega, radius = math.radians(run.spin_deg_s[middle].mean()), run.circle_radius_m[middle].mean()
    force = y.weight_mn / 9.80665 * omega**2 * radius
    print(f"m omega^2 r {force:.2f} mN, tail {run.tail_thrust_mn[middle].mean():.2f} mN, radius {radius:.2f} m")
    evidence(
        "m omega^2 r of a spinning craft against the tail's push",
        float(force),
        float(run.tail_thrust_mn[middle].mean()),
        0.25,
        unit="mN",
        why="lean and drag add to it",
    )
