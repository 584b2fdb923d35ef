"""Rank: Ishigami's function and closed forms through the whole study, interruption, chance, and what is refused."""

from __future__ import annotations

import json
import math
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from paddlebar import BadInput, load_scenario
from paddlebar.craft.build import build
from paddlebar.plain import plain
from paddlebar.stability import nearby
from paddlebar.studies.axes import open_text
from paddlebar.studies.rank import study as module
from paddlebar.studies.rank.indices import WIDTH
from paddlebar.studies.rank.outcomes import ENDINGS, NAMES, OUTPUTS, build_of, whole
from paddlebar.studies.rank.study import rank
from paddlebar.studies.rank.survey import count, rows
from paddlebar.studies.rundown import knee_turns
from paddlebar.studies.tolerances import chosen, tolerance, usual

SCENARIO = Path(__file__).parents[3] / "scenarios" / "first-flight.toml"
QUICK = {"run.blade_elements": 3, "run.duration_s": 5.0, "run.rtol": 1e-4, "skein.turns": 120.0}
TWO = {"craft.rotor.collective_deg": 0.2, "craft.bar.gain": 0.02}
THREE = {**TWO, "craft.tail.pitch_deg": 0.5}
LINE = np.array([3.0, -2.0, 1.0])
# places of figures, wherever the register has them
DURATION, HEIGHT, SPIN, DRIFT, GROWTH, STICK = (
    NAMES.index(name)
    for name in ("duration_s", "peak_height_m", "spin_deg_s", "mean_spin_deg_s", "growth_per_s", "stick_margin")
)


def figures(*six):
    """A row of outputs with these, in the order above; nothing of the others."""
    row = np.zeros(len(NAMES))
    row[[DURATION, HEIGHT, SPIN, DRIFT, GROWTH, STICK]] = six
    return row


@pytest.fixture(scope="module", autouse=True)
def remembered():
    """The search for the design's steady motions, each once: it takes seconds, and these tests ask for the same ones."""
    with pytest.MonkeyPatch.context() as patch:
        found: dict[str, nearby.Steady] = {}
        search = nearby.design

        def once(scenario):
            text = scenario.effective_toml()
            if text not in found:
                found[text] = search(scenario)
            return found[text]

        patch.setattr(nearby, "design", once)
        yield


@pytest.fixture(scope="module")
def scenario():
    return load_scenario(SCENARIO, QUICK)


@pytest.fixture
def made_up(monkeypatch):
    """Made-up outputs of three numbers, each from -1 to 1 over its tolerance, in place of flights; everything else is the study itself."""

    def evaluate(index, inputs, *, text, parameters, **_):
        unit = np.array([(v - p.own) / (p.values[-1] - p.own) for v, p in zip(inputs, parameters, strict=True)])
        x = math.pi * unit
        ishigami = math.sin(x[0]) + 7.0 * math.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * math.sin(x[0])
        holed = math.nan if unit[0] > 0.99 and unit[1] > 0.0 else float(unit.sum())
        return figures(ishigami, float(LINE @ unit), abs(unit[0]) + 0.2 * unit[1], holed, -1.0, 2.0), 0

    monkeypatch.setattr(module, "evaluate", evaluate)
    monkeypatch.setattr(nearby, "design", lambda scenario: nearby.Steady([], [], -1.0, 1.0, 50.0))


def documents(*found):
    return [json.dumps({k: v for k, v in plain(f.to_json()).items() if k not in ("wall_s", "flown")}) for f in found]


def test_ishigami(scenario, made_up):
    """Indices in closed form: a = 7, b = 0.1; V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = b^2 pi^8 8/225 (Ishigami and Homma 1990 [M], [C])."""
    a, b = 7.0, 0.1
    v1, v2, v13 = 0.5 * (1.0 + b * math.pi**4 / 5.0) ** 2, a**2 / 8.0, 8.0 * b**2 * math.pi**8 / 225.0
    first, total = np.array([v1, v2, 0.0]) / (v1 + v2 + v13), np.array([v1 + v13, v2, v13]) / (v1 + v2 + v13)
    found = rank(scenario, THREE, samples=2048, workers=1)
    i = found.indices
    assert i.first[:, DURATION] == pytest.approx(first, abs=0.02)  # 0.004 at this number and seed
    assert i.total[:, DURATION] == pytest.approx(total, abs=0.02)
    assert (i.total_interval[:, DURATION, 0] < total).all()
    assert (total < i.total_interval[:, DURATION, 1]).all()
    assert i.sum_first[DURATION] == pytest.approx(first.sum(), abs=0.03)
    assert i.converged[DURATION]
    assert i.enough[DURATION] == 2048
    assert found.advice[DURATION].measure == "craft.rotor.collective_deg"
    assert found.advice[DURATION].rivals == ()


def test_one_number_alone_makes_the_whole_spread(scenario, made_up, monkeypatch):
    """scipy's estimator fails on a single parameter."""
    monkeypatch.setattr(
        module, "evaluate", lambda _index, inputs, **_: (figures(inputs[0] ** 2, 0, 0, 0, -1.0, 2.0), 0)
    )
    i = rank(scenario, {"craft.bar.gain": 0.02}, samples=32, workers=1).indices
    assert (i.first[0, DURATION], i.total[0, DURATION], i.sum_first[DURATION]) == (1.0, 1.0, 1.0)
    assert i.converged[DURATION]
    assert np.isnan(i.total[0, HEIGHT])  # does not change


def test_few_samples_say_so(scenario, made_up):
    found = rank(scenario, THREE, samples=32, workers=1)
    i = found.indices
    widths = i.total_interval[..., 1] - i.total_interval[..., 0]
    assert not i.converged[DURATION]
    assert widths[:, DURATION].max() > WIDTH
    assert i.enough[DURATION] == 2 ** math.ceil(math.log2(32 * (widths[:, DURATION].max() / WIDTH) ** 2))
    assert found.advice[DURATION].rivals != ()


def test_a_straight_line_has_its_slopes_and_shares(scenario, made_up):
    found = rank(scenario, THREE, samples=1024, workers=1)
    j = HEIGHT
    assert found.slopes.slope[:, j] == pytest.approx(LINE / np.array(list(THREE.values())), rel=1e-9)
    assert found.slopes.smooth[:, j].all()
    assert found.indices.first[:, j] == pytest.approx(LINE**2 / (LINE**2).sum(), abs=0.02)
    assert found.indices.total[:, j] == pytest.approx(LINE**2 / (LINE**2).sum(), abs=0.02)
    assert found.indices.sum_first[j] == pytest.approx(1.0, abs=0.03)
    assert found.indices.spread[j, 1] == pytest.approx(0.0, abs=0.05)
    assert found.advice[j].helps == "craft.rotor.collective_deg"
    assert found.advice[j].to == pytest.approx(9.2)
    assert found.advice[j].gain == pytest.approx(3.0)


def test_a_corner_is_no_slope_and_a_constant_has_no_indices(scenario, made_up):
    found = rank(scenario, THREE, samples=64, workers=1)
    assert not found.slopes.smooth[0, SPIN]
    assert math.isnan(found.slopes.slope[0, SPIN])
    assert (found.slopes.below[0, SPIN], found.slopes.above[0, SPIN]) == pytest.approx((-5.0, 5.0))
    assert found.slopes.slope[1, SPIN] == pytest.approx(0.2 / 0.02)
    assert np.isnan(found.indices.total[:, GROWTH]).all()
    assert not found.indices.converged[GROWTH]
    assert found.advice[GROWTH].measure == found.advice[GROWTH].helps == ""
    assert found.sound


def test_what_has_no_value_is_counted(scenario, made_up):
    found = rank(scenario, THREE, samples=256, workers=1)
    assert found.slopes.smooth[:, DRIFT].all()
    assert 0 < found.indices.missing[DRIFT] < 26
    assert found.indices.total[:, DRIFT] == pytest.approx(1.0 / 3.0, abs=0.1)


def test_more_samples_keep_the_first(scenario, made_up, tmp_path):
    file = tmp_path / "s.h5"
    few = rank(scenario, THREE, samples=16, workers=1, file=file)
    more = rank(scenario, THREE, samples=64, workers=1, file=file)
    assert more.flown == count(3, 64) - few.flights
    again = rank(scenario, THREE, samples=16, workers=1, file=file)
    assert again.flown == 0
    assert len(set(documents(few, again))) == 1
    assert len(set(documents(more, rank(scenario, THREE, samples=64, workers=1)))) == 1
    assert documents(few) != documents(rank(scenario, THREE, samples=16, seed=2, workers=1))


def test_chance_of_others_is_left_alone(scenario, made_up):
    np.random.seed(5)  # noqa: NPY002  what a user's program may do
    wanted = np.random.random(3).tolist()  # noqa: NPY002
    np.random.seed(5)  # noqa: NPY002
    rank(scenario, THREE, samples=16, workers=1)
    assert np.random.random(3).tolist() == wanted  # noqa: NPY002


@pytest.fixture(scope="module")
def flown(scenario):
    return rank(scenario, TWO, samples=4, workers=1)


def test_a_real_study(scenario, flown):
    assert flown.flights == flown.flown == count(2, 4) == 21
    assert flown.outputs == NAMES == tuple(output.name for output in OUTPUTS)
    assert np.isfinite(flown.built).all()
    assert np.isfinite(flown.low).all()
    assert flown.built_ending == "landed"
    assert sum(flown.endings.values()) == 8
    assert flown.built[DRIFT] >= abs(flown.built[SPIN])  # left and right counted apart is never less than their sum
    assert (
        flown.low[0, HEIGHT] > flown.built[HEIGHT] > flown.high[0, HEIGHT]
        or flown.low[0, HEIGHT] < flown.built[HEIGHT] < flown.high[0, HEIGHT]
    )


def test_built_is_what_fly_says(scenario, flown):
    from paddlebar import fly

    flight = fly(scenario)
    assert flight.outcome == flown.built_ending
    assert flown.built[[DURATION, HEIGHT]] == pytest.approx(
        [flight.summary["duration_s"], flight.summary["peak_height_m"]], rel=1e-3
    )
    left = flight.turns_left >= knee_turns(build(scenario), float(flight.turns_left[0]))
    let_go = (flight.time >= scenario.launch.hold_s) & left
    heading, span = np.degrees(flight.heading[let_go]), float(np.ptp(flight.time[let_go]))
    assert flown.built[SPIN] == pytest.approx((heading[-1] - heading[0]) / span, rel=1e-2)
    assert flown.built[DRIFT] <= np.abs(np.diff(heading)).sum() / span  # a second's shaking does not count


def test_the_stick_bears_what_check_says(scenario, flown):
    from paddlebar.craft.strength.factors import stick_strength

    assert flown.built[STICK] == stick_strength(scenario.craft, 120.0).stick_margin > 1.0
    assert flown.low[:, STICK] == pytest.approx(flown.built[STICK])  # neither pitch nor gain loads the stick
    assert np.isnan(flown.indices.total[:, STICK]).all()


def test_growth_is_the_maps(scenario, flown):
    steady = nearby.design(scenario)
    assert flown.built[GROWTH] == pytest.approx(steady.growth, abs=1e-6)


def test_interrupted_it_goes_on_and_ends_the_same(scenario, flown, tmp_path):
    class Impatient:
        def start(self, steps):
            self.left = 9

        def step(self, what):
            self.left -= 1
            if not self.left:
                raise KeyboardInterrupt

        def close(self): ...

    file = tmp_path / "s.h5"
    with pytest.raises(KeyboardInterrupt):
        rank(scenario, TWO, samples=4, workers=1, progress=Impatient(), file=file)
    with ThreadPoolExecutor(2) as threads:
        again = rank(scenario, TWO, samples=4, workers=2, executor=threads, file=file)
    assert 0 < again.flown < flown.flights
    assert len(set(documents(flown, again))) == 1
    with pytest.raises(BadInput, match="another choice of parameters"):
        rank(scenario, {**TWO, "craft.bar.gain": 0.03}, samples=4, workers=1, file=file)


def test_rows_stay_within_tolerances_and_whole_numbers_are_spread_evenly(scenario):
    text = scenario.effective_toml()
    p = chosen(text, {"craft.skein.strands": 1.0, "craft.bar.gain": 0.02})
    found = np.array(list(rows(p, 256, 1).values()))
    assert found.shape == (count(2, 256), 2)
    assert sorted(set(found[:, 0])) == [5.0, 6.0, 7.0]
    assert np.bincount(found[5::4, 0].astype(int))[5:] == pytest.approx(256 / 3, abs=3)
    assert found[:, 1].min() >= 0.44 - 1e-12
    assert found[:, 1].max() <= 0.48 + 1e-12
    assert (found[7::4, 0] == found[6::4, 0]).all()  # the first number of B in A's place
    assert (found[7::4, 1] == found[5::4, 1]).all()


def test_what_cannot_be_built_is_not_flown(scenario):
    from paddlebar.studies.rank.outcomes import evaluate

    text = scenario.effective_toml()
    p = chosen(text, TWO)
    outputs, code = evaluate(0, np.array([9.0, 77.0]), text=text, parameters=p, seeds=[], others=[])
    assert np.isnan(outputs).all()
    assert ENDINGS[code] == "not built"


def test_the_usual_numbers_are_those_that_the_craft_has(scenario):
    own = usual(scenario, "rank")
    assert len(own) == 21
    assert own["craft.shaft.tilt_right_deg"] == own["craft.shaft.tilt_forward_deg"] == 1.0
    assert own["craft.part.nose weight.at_mm.2"] == 2.0
    assert own["craft.tail.radius_mm"] == 0.5
    assert own["craft.part.stick.diameter_mm"] == 0.2
    assert own["craft.part.nose weight.mass_g"] == 0.05
    bare = usual(load_scenario(SCENARIO, {"craft.bar.kind": "none", "craft.tail.drive": "none"}), "rank")
    assert not any(key.startswith(("craft.bar", "craft.tail")) for key in bare)
    locked = usual(load_scenario(SCENARIO, {"craft.bar.kind": "locked"}), "rank")
    assert "craft.bar.arm_mm" in locked
    assert "craft.bar.gain" not in locked
    light = usual(load_scenario(SCENARIO, {"craft.bar.tip_mass_g": 0.03}), "rank")
    assert light["craft.bar.tip_mass_g"] == 0.025  # narrowed: there is no negative mass


@pytest.mark.parametrize(
    ("key", "size", "says"),
    [
        ("craft.bar.gian", 0.1, "gain"),
        ("craft.bar.kind", 0.1, "only a number"),
        ("craft.bar.gain", 0.0, "above 0"),
        ("craft.bar.gain", math.nan, "above 0"),
        ("craft.bar.gain", 50.0, "found"),
        ("craft.skein.strands", 0.5, "whole numbers"),
        ("air.density_kg_m3", 0.1, "has no value here"),
        ("skein.turns", 5000.0, "found"),
    ],
)
def test_bad_tolerances(scenario, key, size, says):
    with pytest.raises(BadInput, match=says) as caught:
        tolerance(scenario.effective_toml(), key, size)
    assert "\n" not in str(caught.value)
    assert str(caught.value).startswith("keys: ")


@pytest.mark.parametrize("samples", [-1, 1, 3, 100, 2**20])
def test_samples_are_a_power_of_two(scenario, samples):
    with pytest.raises(BadInput, match="power of two"):
        rank(scenario, TWO, samples=samples)


def test_a_chord_that_is_varied_stays_the_same_along_the_blade():
    """The file leaves tip_chord_mm open; it follows chord_mm in every build of the study, as it does in a file."""
    scenario = load_scenario(SCENARIO)
    parameters = chosen(whole(scenario).effective_toml(), {"craft.rotor.chord_mm": 0.5})
    built = build_of(open_text(whole(scenario)), parameters, np.array([30.5]))
    assert built.craft.rotor.tip_chord_mm == built.craft.rotor.chord_mm == 30.5


def test_blades_that_no_file_names_can_be_ranked():
    found = rank(
        load_scenario(SCENARIO, {"run.duration_s": 3.0}), {"craft.rotor.blade_pitches_deg.2": 2.0}, samples=0, workers=1
    )
    assert found.own.tolist() == [9.0]
    assert (found.low != found.built).any()
