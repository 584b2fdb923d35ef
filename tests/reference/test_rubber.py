"""Turns, torque and energy of rubber.

Source : turns G. Hinze, endlesslift.com, references.md 6.1 [A]; scaling of torque with section, closed form [C]; turns and energy of 1889: S. P. Langley,
         C. M. Manly, Langley Memoir on Mechanical Flight, Smithsonian Contributions 27(3), Publ. 1948 (1911), Part I, on power [T]; loss and
         shape references.md 6.4 [A], [M].
         Stretch of natural rubber: L. R. G. Treloar, Trans. Faraday Soc. 40 (1944) 59, two transcriptions, references.md 6.6 [T].
Seen   : see each test. With the default 6 kJ/kg the model gives 0.65, 0.73 and 0.56 of Langley's energies at 50, 75 and 100 turns; his batch is
         not known, so their common factor is free, and the shape is what is held to.
Broken : breaking turns with S for its root; 2 pi left out of the energy; loss on the wrong side: each refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from evidence import Recorder
from paddlebar.checks.doubts import MOST_WORK_KJ_KG
from paddlebar.craft.build import build
from paddlebar.craft.motors import motor_of
from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.files.scenario import Launch, Scenario, Winding
from paddlebar.flight import layout
from paddlebar.physics import skein as law
from paddlebar.physics.motor import FORMULA, motor_drive, motor_energy, motor_torque
from paddlebar.physics.skein_limits import breaking_turns
from reference.rig import Rig, craft, within

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon("rubber", source="6.1", why="last digit of the source"),
]

INCH, POUND, FOOT_POUND = 0.0254, 0.45359237, 1.3558179
WARM = 293.15


def skein(**keys: Any) -> Skein:
    plain = {"mass_g": 2.0, "length_mm": 200.0, "hooks_mm": ((0.0, 0.0, -20.0), (0.0, 0.0, -200.0))}
    return Skein(**{**plain, **keys})


def record_of(made: Skein, temperature: float = WARM) -> Any:
    """Its motor's record, by attribute."""
    return motor_of(made, temperature).record.view(np.recarray)[0]


def curve(**keys: Any) -> Any:
    return record_of(skein(**keys))


def torque(c: Any, turns: float, set_: float) -> float:
    return float(motor_torque(c, turns) * law.hysteresis_factor(set_, c.half_loss))


def released(c: Any, turns: float, first: float = -1.0) -> float:
    """Energy let out from some turns to none [J]; first: set at the start, -1 settled, +1 just wound."""
    z = lambda n: -1.0 + (first + 1.0) * math.exp(-(turns - n) / c.settle)  # noqa: E731
    return 2.0 * math.pi * float(quad(lambda n: torque(c, n, z(n)), 0.0, turns, epsrel=1e-10, limit=400)[0])


# ---- 6.1 turns


def test_worked_example_of_breaking_turns(evidence: Recorder) -> None:
    """17 in loop of .083 x .042 in strip, 2 strands, K 10.64: 127.4 an inch, 2166 turns [A], [C]. Last digit. K has no unit: same in metres."""
    section = 2.0 * 0.083 * 0.042
    evidence("breaking turns an inch of the worked example", breaking_turns(1.0, section, 10.64), 127.4, 5e-4)
    evidence("breaking turns of the worked example", breaking_turns(17.0, section, 10.64), 2166.0, 5e-4)
    evidence("the same in metres", breaking_turns(17.0 * INCH, section * INCH**2, 10.64), 2166.0, 5e-4)


def test_braiding_changes_nothing_here(evidence: Recorder) -> None:
    """Half the length doubled has twice the section: a factor 2^-1.5 = .3536 in turns (same author, on braiding before doubling)."""
    ratio = breaking_turns(0.5, 2.0, 10.0) / breaking_turns(1.0, 1.0, 10.0)
    evidence("turns of half the length doubled, over those before", ratio, 0.3536, absolute=1e-4)


# ---- 6.2 scaling


SCALING = pytest.mark.phenomenon(source="6.2", why="no loss term knows the size: rounding, own choice")


@SCALING
def test_double_section(evidence: Recorder) -> None:
    """N / 1.414, Q x 2.83, energy x 2, for the same length. 1e-3 asked, rounding seen: no loss term knows the size."""
    one, two = curve(mass_g=2.0), curve(mass_g=4.0)
    evidence("turns of twice the section", two.breaking / one.breaking, 1.0 / math.sqrt(2.0), 1e-3)
    evidence("torque of twice the section", two.plateau / one.plateau, 2.0**1.5, 1e-3)
    evidence("energy of twice the section", released(two, two.breaking) / released(one, one.breaking), 2.0, 1e-3)
    for share in (0.1, 0.5, 0.95):
        ratio = torque(two, share * two.breaking, -1.0) / torque(one, share * one.breaking, -1.0)
        evidence(f"torque of twice the section at {share:g} of the turns", ratio, 2.0**1.5, 1e-3)


@SCALING
def test_double_length(evidence: Recorder) -> None:
    """Turns and energy double, torque stays."""
    one, two = curve(), curve(mass_g=4.0, length_mm=400.0)
    evidence("turns of twice the length", two.breaking / one.breaking, 2.0, 1e-12)
    evidence("torque of twice the length", two.plateau / one.plateau, 1.0, 1e-12)
    evidence("energy of twice the length", released(two, two.breaking) / released(one, one.breaking), 2.0, 1e-9)


@pytest.mark.phenomenon(source="6.2", conditions="K 10.64, 930 kg/m3, 6 kJ/kg", why="figures of two or three digits")
@pytest.mark.parametrize(("section_mm2", "torque_mn_m", "turns_a_metre"), [(8.3, 2.0, 3690.0), (12.1, 3.5, 3060.0)])
def test_mean_torque_of_a_section(
    evidence: Recorder, section_mm2: float, torque_mn_m: float, turns_a_metre: float
) -> None:
    """Mean torque over unwinding = e rho S^1.5/(2 pi K): K 10.64, 930 kg/m3, 6 kJ/kg: figures of the source to their two or three digits [C]."""
    c = curve(mass_g=section_mm2 * 1e-6 * 930.0 * 1e3, length_mm=1000.0, breaking_constant=10.64)
    mean = released(c, c.breaking) / (2.0 * math.pi * c.breaking)
    evidence(f"mean torque of {section_mm2:g} mm2", mean * 1e3, torque_mn_m, 0.02, unit="mN m")
    closed = 6000.0 * 930.0 * (section_mm2 * 1e-6) ** 1.5 / (2.0 * math.pi * 10.64)
    evidence(
        f"mean torque of {section_mm2:g} mm2, e rho S^1.5/(2 pi K)", mean, closed, 1e-9, unit="N m", why="quadrature"
    )
    evidence(f"breaking turns a metre of {section_mm2:g} mm2", c.breaking, turns_a_metre, 2e-3)


# ---- energy and loss


@pytest.mark.parametrize(
    "keys", [{}, {"energy_kJ_kg": 8.0, "loss_percent": 10.0}, {"spike": 1.0, "knee_percent": 15.0}, {"spike": 4.0}]
)
def test_energy_a_kilogram_is_the_setting(keys: dict[str, Any]) -> None:
    """Integral of the unwinding torque (set -1) from breaking turns over 2 pi turns, by quadrature. 1e-8.

    From freshly wound (set +1) more comes out while the torque settles: printed; 3.3 % more with the defaults.
    """
    made = skein(**keys)
    c = record_of(made)
    mass = 1e-3 * skein_mass_g(made)
    within("energy", released(c, c.breaking) / mass, 1e3 * made.energy_kJ_kg, 1e-8)
    fresh = released(c, c.breaking, 1.0) / mass
    print(f"freshly wound, not backed off: {fresh:.0f} J/kg, {100.0 * (fresh / made.energy_kJ_kg / 1e3 - 1.0):+.2f} %")
    assert fresh > 1e3 * made.energy_kJ_kg or made.loss_percent == 0.0


def loop(c: Any) -> tuple[float, float]:
    """Energy put in by winding from none to breaking turns and got back, both by the law of the set [J]."""
    found, z = [], 1.0
    for start, sense in ((0.0, 1.0), (c.breaking, -1.0)):

        def rate(_: float, y: np.ndarray, sense: float = sense) -> list[float]:
            return [law.set_rate(y[0], sense, c.settle), sense, 2.0 * math.pi * sense * torque(c, y[1], y[0])]

        got = solve_ivp(
            rate,
            (0.0, c.breaking),
            [z, start, 0.0],
            method="DOP853",
            rtol=1e-10,
            atol=1e-12,
            max_step=c.breaking / 400.0,
        )
        z = float(got.y[0, -1])
        found.append(float(got.y[2, -1]))
    return found[0], -found[1]


@pytest.mark.parametrize("loss", [10.0, 30.0, 40.0])
def test_loss_of_a_whole_loop(loss: float) -> None:
    """loss_percent of what winding took, in the limit of a set that turns over at once (from 0.2 and 0.1 % of the turns, straight line to
    none: 3e-4). With the default 4 % the corner of the loop is cut and less is lost: 9.2, 27.7, 36.9 for 10, 30, 40 %."""

    def lost(**keys: float) -> float:
        put, back = loop(curve(loss_percent=loss, **keys))
        return 100.0 * (1.0 - back / put)

    within(f"loss of {loss} %, sharp corner", 2.0 * lost(settle_percent=0.1) - lost(settle_percent=0.2), loss, 3e-4)
    rounded = lost()
    print(f"loss of {loss} % with the default corner: {rounded:.2f} %")
    assert 0.88 * loss < rounded < loss


@pytest.mark.phenomenon(source="6.4", conditions="percent_per_K .34, 293 to 303 K", why=".34 stands for 1/293")
def test_warm_rubber(evidence: Recorder) -> None:
    """Ideal entropic elasticity is +3.4 % per 10 K at 293 K [C]; the setting (0.5 %/K by default, range .3 to 1 [M]) goes into torque and energy alike."""
    made = skein(percent_per_K=0.34)
    cold, warm = record_of(made), record_of(made, WARM + 10.0)
    evidence("torque, ten degrees warmer over before", warm.plateau / cold.plateau, 303.15 / 293.15, 5e-4)
    evidence(
        "energy, ten degrees warmer over before",
        released(warm, warm.breaking) / released(cold, cold.breaking),
        303.15 / 293.15,
        5e-4,
    )


# ---- measured tables, through the equations of flight

ROWS = ((0.0, 0.0), (60.0, 2.0), (256.0, 3.0), (512.0, 8.0))


def test_measured_table_drives_the_shaft() -> None:
    """Torque on the shaft at each row of the table (in 128ths, so that rows are nodes or near them: 0.1 %), whatever the formula would say;
    skein energy of the flight is its area."""
    made = craft(skein={"mass_g": 2.0, "length_mm": 200, "measured": [list(row) for row in ROWS], "energy_kJ_kg": 1.0})
    p = build(Scenario(craft=made, skein=Winding(turns=512.0), launch=Launch(height_m=2.0))).params.view(np.recarray)[0]
    for turns, want in ROWS[1:]:
        within(f"{turns:.0f} turns", motor_drive(p.skein, turns, -1.0)[0], 1e-3 * want, 1e-3)
    area = 2.0 * math.pi * 1e-3 * (60.0 * 1.0 + 196.0 * 2.5 + 256.0 * 5.5)
    found = quad(lambda n: motor_drive(p.skein, n, -1.0)[0], 0.0, 512.0, epsrel=1e-6, limit=500)[0] * 2.0 * math.pi
    within("energy", found, area, 1e-3)


def test_energy_let_out_in_a_run_down_is_delivered_or_lost() -> None:
    """Shaft driven from 100 turns to none in a vacuum: its kinetic energy plus hysteresis is the middle curve's energy. 1e-7."""
    rig = Rig(craft(skein={"mass_g": 2.0, "length_mm": 200}))
    rig.vacuum()
    rig.p.locked[6] = 0
    rig.p.skein.kind, rig.p.skein.turns = FORMULA, 100.0
    y = rig.still(1.0)
    y[layout.SKEIN_SET] = 1.0
    c = curve()

    def spent(_: float, state: np.ndarray) -> float:
        return float(state[layout.ROTOR_AZIMUTH] - 2.0 * math.pi * 99.0)

    spent.terminal = True  # type: ignore[attr-defined]
    got = solve_ivp(rig.rates, (0.0, 60.0), y, method="DOP853", rtol=1e-11, atol=1e-12, events=spent)
    assert got.status == 1
    end = got.y[:, -1]
    inertia = motor_drive(rig.p.skein, 100.0, 1.0)[0] / rig.rates(0.0, y)[layout.ROTOR_SPEED]
    kinetic = 0.5 * inertia * (end[layout.ROTOR_SPEED] ** 2 - 1.0)
    energy = motor_energy(c, 100.0) - motor_energy(c, 1.0)
    within("kinetic + hysteresis", kinetic + end[layout.LOST_HYSTERESIS], energy, 1e-7)


# ---- 6.3 Langley 1889: rubber 1.3 x .12 in, 3 ft long doubled, .38 lb, let out under a propeller

LANGLEY = [(50.0, 37.5, 295.0, 0.162), (75.0, 63.0, 496.0, 0.181), (100.0, 124.6, 980.0, 0.269)]
LANGLEY_MASS = 0.38 * POUND
FACTOR = 1.5
MEMOIR = pytest.mark.phenomenon(
    source="6.3", conditions="let out at once", why="factor 1.5 advised: batch and lubricant of 1889 are not known"
)


def langley(**keys: Any) -> Any:
    section = 2.0 * 1.3 * 0.12 * INCH**2
    length = 36.0 * INCH
    assert pytest.approx(936.0, abs=2.0) == LANGLEY_MASS / (section * length)
    return curve(
        mass_g=1e3 * LANGLEY_MASS, length_mm=1e3 * length, density_kg_m3=LANGLEY_MASS / (section * length), **keys
    )


def test_langleys_table_is_itself_consistent() -> None:
    """Foot-pounds, J/kg and mean torque of the table belong together [C]; N sqrt(S)/L .78, 1.16, 1.55."""
    c = langley()
    for (turns, foot_pounds, per_kg, mean), share in zip(LANGLEY, (0.78, 1.16, 1.55), strict=True):
        within("J/kg", foot_pounds * FOOT_POUND / LANGLEY_MASS, per_kg, 2e-3)
        within("mean torque", foot_pounds * FOOT_POUND / (2.0 * math.pi * turns), mean, 4e-3)
        within("share of turns", 10.0 * turns / c.breaking, share, 0.01)


@pytest.mark.phenomenon(
    source="6.3",
    conditions="let out at once, default 6 kJ/kg; one free factor for an unknown batch",
    why="20 % advised: local exponents of his three rows, 1.28 and 2.37, belong to no one curve",
)
def test_langleys_energy_by_shape(evidence: Recorder) -> None:
    """Energy at each number of turns over that of the model times one factor, the geometric mean of the three."""
    found = np.array([released(langley(), turns, 1.0) / LANGLEY_MASS for turns, *_ in LANGLEY])
    measured = np.array([row[2] for row in LANGLEY])
    factor = float(np.exp(np.mean(np.log(measured / found))))
    print(f"factor {factor:.2f}")
    for (turns, *_), got, per_kg in zip(LANGLEY, factor * found, measured, strict=True):
        evidence(f"energy of {turns:g} turns, model times one factor", float(got), float(per_kg), 0.2, unit="J/kg")


@MEMOIR
@pytest.mark.parametrize(("turns", "foot_pounds", "per_kg", "mean"), LANGLEY)
def test_langleys_energy_with_rubber_of_nine_kilojoules(
    evidence: Recorder, turns: float, foot_pounds: float, per_kg: float, mean: float
) -> None:
    """At the upper end of the settable range that the sources give (4 to 9 kJ/kg) the same table is met within the factor 1.5."""
    c = langley(energy_kJ_kg=9.0)
    found = released(c, turns, 1.0) / LANGLEY_MASS
    print(f"ratio {found / per_kg:.3f}")
    evidence(
        f"energy of {turns:g} turns, 9 kJ/kg",
        found,
        per_kg,
        (1.0 / FACTOR - 1.0, FACTOR - 1.0),
        unit="J/kg",
    )


def test_langleys_energy_at_the_low_end_of_breaking_constants() -> None:
    """K 8, the low end of the range of references 6.1 (8 to 13, good rubber 9 to 13), with the default 6 kJ/kg: 0.92, 1.01, 0.76 of the measured
    energies. So each end of a stated range (9 kJ/kg, or K 8) meets the table and the middle of both does not; no source says which of
    them the rubber of 1889 was, and the defaults, meant for rubber of today, stay."""
    c = langley(breaking_constant=8.0)
    ratios = [released(c, turns, 1.0) / LANGLEY_MASS / per_kg for turns, _, per_kg, _ in LANGLEY]
    print(f"K 8: {ratios}")
    assert all(1.0 / FACTOR < ratio < FACTOR for ratio in ratios)


@pytest.mark.parametrize(("constant", "meets"), [(1.8, False), (2.0, True), (2.2, True), (2.5, True), (3.0, False)])
def test_langleys_energy_with_what_his_own_rubber_gave_at_most(constant: float, meets: bool) -> None:
    """The same memoir: 450 to 500 ft lb/lb, 1.35 to 1.5 kJ/kg, from rubber strained to its limit. With that energy (1.42) the table is met for
    K 2.0 to 2.5 and for no other: such rubber would have broken at 130 to 160 turns, and 100 were three quarters of what it bore. K is then
    the one figure that is fitted, to three rows; no source gives it, so this says only that table and memoir agree with the law's shape."""
    c = langley(energy_kJ_kg=1.42, breaking_constant=constant)
    ratios = [released(c, turns, 1.0) / LANGLEY_MASS / per_kg for turns, _, per_kg, _ in LANGLEY]
    print(f"1.42 kJ/kg, K {constant}: {ratios}, breaks at {c.breaking:.0f} turns")
    assert all(1.0 / FACTOR < ratio < FACTOR for ratio in ratios) == meets


def test_mean_torque_rises_with_turns_as_langley_found() -> None:
    """.162, .181, .269 N m measured; the model's rises too, and by a factor between 1 and twice as much over the table."""
    c = langley()
    mean = [released(c, turns, 1.0) / (2.0 * math.pi * turns) for turns, *_ in LANGLEY]
    print(f"mean torque {mean} N m")
    assert mean[0] < mean[1] < mean[2]
    assert 0.5 < (mean[2] / mean[0]) / (0.269 / 0.162) < 2.0


# ---- 6.6 Treloar 1944: stretch, nominal stress in kg/cm2

TRELOAR = np.array(
    [
        (1.00, 0.00), (1.02, 0.26), (1.125, 1.37), (1.24, 2.30), (1.39, 3.23), (1.585, 4.16), (1.90, 5.10), (2.18, 6.00), (2.42, 6.90),
        (3.02, 8.80), (3.57, 10.7), (4.03, 12.5), (4.76, 16.2), (5.36, 19.9), (5.75, 23.6), (6.15, 27.4), (6.40, 31.0), (6.60, 34.8),
        (6.85, 38.5), (7.05, 42.1), (7.15, 45.8), (7.25, 49.6), (7.40, 53.3), (7.50, 57.0), (7.60, 64.4),
    ]
)  # fmt: skip
KG_CM2, DENSITY = 98066.5, 930.0
SHEAR = 0.39e6  # Pa at small stretch, middle of .38 to .43


def put_in() -> float:
    """Work that pulls that rubber to its last row [J/kg]."""
    return float(np.trapezoid(TRELOAR[:, 1] * KG_CM2, TRELOAR[:, 0])) / DENSITY


@pytest.mark.phenomenon(
    source="6.6", conditions="natural rubber pulled to 7.6 times its length", why="trapezoids, three digits"
)
def test_treloars_work(evidence: Recorder) -> None:
    """12.8 kJ/kg [C], by trapezoids over the rows; the figure that `check` holds energy_kJ_kg against."""
    evidence("work put in up to stretch 7.6", put_in() / 1e3, MOST_WORK_KJ_KG, 0.01, unit="kJ/kg")


@pytest.mark.phenomenon(
    source="6.6", why="a bound: no skein gives back more than is put into rubber that is pulled to its end"
)
@pytest.mark.parametrize("energy", [4.0, 6.0])
def test_no_skein_gives_more_than_treloars_rubber_takes(evidence: Recorder, energy: float) -> None:
    """Released from breaking turns at the default loss, against 12.8 kJ/kg times what the loss leaves: 9.0."""
    c = curve(energy_kJ_kg=energy)
    most = put_in() * (1.0 - 0.3)
    evidence(f"energy released at {energy:g} kJ/kg over the bound", released(c, c.breaking) / 2e-3 / most, (0.0, 1.0))


@pytest.mark.phenomenon(
    source="6.6",
    conditions="Langley's skein, default rubber",
    why="a ceiling: strands bonded to one round bar, neo-Hookean; sliding ones store less",
)
@pytest.mark.parametrize(("turns", "share"), [(50.0, 0.78), (75.0, 1.16), (100.0, 1.55)])
def test_twisting_stores_less_than_a_bonded_bar(evidence: Recorder, turns: float, share: float) -> None:
    """Energy per volume of a round bar twisted N turns at its own length, pi mu (N sqrt(S)/L)^2 [C]; .37, .28, .31 of it measured by him."""
    ceiling = math.pi * SHEAR * share**2 / 936.0
    found = released(langley(), turns, 1.0) / LANGLEY_MASS
    evidence(f"energy of {turns:g} turns over that of a bonded bar", found / ceiling, (0.0, 1.0))


def test_energy_of_few_turns_is_quadratic() -> None:
    """Torque passes through zero in proportion to the turns: twice as many, four times the energy; 2 % at a thousandth of breaking."""
    c = curve()
    few = 1e-3 * c.breaking
    within("twice the turns", motor_energy(c, 2.0 * few) / motor_energy(c, few), 4.0, 0.02)
