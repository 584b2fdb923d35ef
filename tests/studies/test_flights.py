"""Many flights into a file: the flights of memory, whatever happens on the way; refused where they are not those of the file."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import numpy as np
import pytest

from paddlebar import fly_many, load_scenario, read_flights, samples
from paddlebar.ensemble.many import Brief
from paddlebar.errors import BadInput, NoSuchKey
from paddlebar.studies import draws
from paddlebar.studies import flights as module
from paddlebar.studies.draws import drawn, looked_over
from paddlebar.studies.flights import FIGURES
from paddlebar.studies.store import Study

ROOT = Path(__file__).parents[2]
FIRST = ROOT / "scenarios" / "first-flight.toml"
SHORT = {
    "launch.release": "free",
    "launch.hold_s": 0.0,
    "launch.rotor_rpm": 500.0,
    "run.duration_s": 0.1,
    "run.blade_elements": 3,
}


def draw(rng):
    return {
        **SHORT,
        "launch.tilt_deg": rng.uniform(0.5, 8.0),
        "launch.push_m_s": [0.0, rng.uniform(-0.1, 0.1), 0.0],
        "craft.rotor.section": ["flat plate", "cambered plate"][rng.integers(2)],
    }


def asked(count=10, seed=1, draw=draw):
    return samples(FIRST, count, draw, seed=seed)


def fly_into(path, todo=None, **more):
    return fly_many(asked() if todo is None else todo, file=path, workers=1, **more)


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("flights") / "whole.h5"
    fly_into(path)
    return path


def test_they_are_the_flights_that_memory_would_hold(whole):
    kept, here = read_flights(whole), fly_many(asked(), workers=1)
    assert len(kept) == 10
    assert kept.outcome.tolist() == here.outcome
    for name in FIGURES:
        np.testing.assert_array_equal(getattr(kept, name), np.asarray(getattr(here, name), dtype=float), err_msg=name)
    assert kept.counts == {"still flying": 10}
    assert kept.failed.tolist() == []
    assert "10 flights" in repr(kept)
    assert "duration_s" in dir(kept)
    with pytest.raises(AttributeError, match="no attribute 'durations'"):
        kept.durations  # noqa: B018


def test_a_scenario_serves_as_well_as_its_file(whole, tmp_path):
    base, found = load_scenario(FIRST), tmp_path / "found.h5"
    drawn_of = samples(base, 10, draw, seed=1)
    fly_into(found, drawn_of)
    here = fly_many(drawn_of, workers=1)
    np.testing.assert_array_equal(here.max_tilt_deg, read_flights(whole).max_tilt_deg)
    np.testing.assert_array_equal(read_flights(found).max_tilt_deg, here.max_tilt_deg)
    with pytest.raises(NoSuchKey, match="gian"):
        fly_many(samples(base, 2, lambda _: {"craft.bar.gian": 1.0}), workers=1)


def test_a_row_of_inputs_is_the_whole_draw(whole):
    inputs, columns = read_flights(whole).inputs, looked_over(asked())[0]
    assert list(inputs) == [column.name for column in columns]
    for k, (_, changes) in enumerate(asked()):
        back = drawn(columns, [inputs[name][k] for name in inputs])[1]
        assert {key: list(v) if isinstance(v, tuple) else v for key, v in back.items()} == changes


def test_xarray_sees_figures_along_what_was_drawn(whole):
    pytest.importorskip("xarray")
    with read_flights(whole).to_xarray() as found:
        assert found.peak_height_m.dims == ("index",)
        assert found.peak_height_m.attrs == {"units": "m", "long_name": "peak height", "role": "output"}
        assert found["launch.tilt_deg"].attrs["units"] == "degree"
        assert {"launch.tilt_deg", "craft.rotor.section"} <= set(found.coords)
        section = found["craft.rotor.section"]
        words = section.attrs["flag_meanings"].split()
        assert [words[int(k)] for k in section] == [c["craft.rotor.section"].replace(" ", "_") for _, c in asked()]
        assert found.ending.attrs["flag_meanings"].split()[int(found.ending[0])] == "still_flying"


def test_any_way_gives_the_same_file_byte_for_byte(whole, tmp_path):
    fly_into(tmp_path / "a.h5", asked(4))  # and more of the same
    fly_into(tmp_path / "a.h5")
    fly_many(asked(), file=tmp_path / "b.h5", workers=2)
    for name in ("a.h5", "b.h5"):
        assert (tmp_path / name).read_bytes() == whole.read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.h5", "b.h5"]


def test_nothing_is_flown_twice(whole, monkeypatch):
    monkeypatch.setattr(module, "fly_row", nobody)
    before = whole.read_bytes()
    assert len(fly_into(whole)) == 10
    assert whole.read_bytes() == before


def nobody(*_, **__):
    raise AssertionError("nothing should be flown")


def other_draw(rng):
    return {**draw(rng), "launch.tilt_deg": 3.0}


def more_keys(rng):
    return {**draw(rng), "launch.heading_deg": 3.0}


@pytest.mark.parametrize(
    ("todo", "says"),
    [
        (lambda: asked(seed=2), "flight 0 was drawn otherwise"),
        (lambda: asked(draw=other_draw), "flight 0 was drawn otherwise"),
        (lambda: asked(draw=more_keys), "of another choice of draws and other columns"),
        (lambda: [(ROOT / "scenarios" / "no-bar.toml", changes) for _, changes in asked()], "of another scenario"),
    ],
)
def test_other_flights_are_refused_and_the_file_left_alone(whole, todo, says):
    before = whole.read_bytes()
    with pytest.raises(BadInput, match=says):
        fly_into(whole, todo())
    assert whole.read_bytes() == before


def test_a_file_that_a_draw_names_belongs_to_what_it_is_a_study_of(tmp_path):
    table = tmp_path / "own.csv"
    table.write_text("alpha_deg,cl,cd\n-180,0,0.1\n0,0.2,0.05\n180,0,0.1\n")

    def own(rng):
        return {**SHORT, "craft.rotor.section": str(table)}

    fly_into(tmp_path / "f.h5", asked(2, draw=own))
    table.write_text("alpha_deg,cl,cd\n-180,0,0.1\n0,0.3,0.05\n180,0,0.1\n")
    with pytest.raises(BadInput, match="another set of files in draws"):
        fly_into(tmp_path / "f.h5", asked(3, draw=own))


def test_a_misspelt_key_anywhere_is_refused_before_anything_is_flown(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "fly_row", nobody)
    todo = [*asked(5), (FIRST, {"launch.tlt_deg": 3.0})]
    with pytest.raises(NoSuchKey, match="did you mean tilt_deg"):
        fly_into(tmp_path / "f.h5", todo)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (float("nan"), "only a finite number"),
        (None, "only a finite number"),
        ({"x": 1.0}, "only a finite number"),
        ([[1.0]], "a table cannot be drawn"),
        ("much", "a text where others have a number"),
    ],
)
def test_what_no_column_holds_is_refused(tmp_path, value, says):
    with pytest.raises(BadInput, match=says):
        fly_into(tmp_path / "f.h5", [(FIRST, {"launch.tilt_deg": 3.0}), (FIRST, {"launch.tilt_deg": value})])
    assert list(tmp_path.iterdir()) == []


def test_texts_without_end_are_refused(monkeypatch):
    monkeypatch.setattr(draws, "MOST_TEXTS", 3)
    assert len(looked_over([(FIRST, {"title": f"flight {k}"}) for k in range(3)])[0][0].texts) == 3
    with pytest.raises(BadInput, match="more than 3 different texts"):
        looked_over([(FIRST, {"title": f"flight {k}"}) for k in range(4)])


def test_the_course_of_flights_is_not_kept_in_a_file(tmp_path):
    with pytest.raises(BadInput, match="every"):
        fly_many(asked(), file=tmp_path / "f.h5", every=2)


def test_the_first_that_failed_is_told_and_the_others_fly(tmp_path):
    todo = [*asked(2), (FIRST, {**SHORT, "launch.height_m": 0.01}), (FIRST, {**SHORT, "skein.turns": 1e5})]
    with pytest.warns(RuntimeWarning, match="flight 2 of 4 failed.*below the floor") as told:
        kept = fly_into(tmp_path / "f.h5", todo)
    assert len(told) == 1
    assert kept.failed.tolist() == [2, 3]
    assert np.isnan(kept.duration_s).tolist() == [False, False, True, True]


def test_scenarios_of_memory_and_several_files(tmp_path):
    todo = [load_scenario(FIRST, SHORT), load_scenario(ROOT / "scenarios" / "no-bar.toml", SHORT)]
    kept = fly_into(tmp_path / "f.h5", todo)
    assert kept.inputs["scenario"].tolist() == [0.0, 1.0]
    np.testing.assert_array_equal(kept.peak_height_m, fly_many(todo, workers=1).peak_height_m)


def test_a_study_of_something_else_is_no_file_of_flights(tmp_path):
    Study.open(tmp_path / "s.h5", {"scenario": "text"}, ["a_mm"], ["c_s"]).close()
    with pytest.raises(BadInput, match="not of many flights"):
        read_flights(tmp_path / "s.h5")


def test_one_that_takes_its_process_with_it_is_told_of_so(tmp_path, monkeypatch):
    lost = module._lost(0)
    assert module._why(None, [], lost) == module.LOST
    assert np.isnan(lost[0]).sum() == sum(np.isnan(module.figures_of(Brief(outcome="failed", sentence="")))) + 1


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="processes that are killed")
@pytest.mark.parametrize("alone", ["flies", "starts"])
def test_killed_three_times_it_is_the_file_of_one_go(tmp_path, alone):
    """The program twice, then of its processes one that flies, or the one that starts those: equal byte for byte."""
    program = tmp_path / "many.py"
    program.write_text(
        textwrap.dedent(f"""
            import sys
            sys.path[:0] = {[str(ROOT / "sim"), str(ROOT / "tests")]!r}
            from paddlebar import fly_many, samples
            class Say:
                def start(self, steps): print("start", steps, flush=True)
                def step(self, what): print("flown", flush=True)
                def close(self): pass
            def draw(rng):
                return {{**{SHORT!r}, "launch.tilt_deg": rng.uniform(0.5, 8.0)}}
            if __name__ == "__main__":
                fly_many(samples({str(FIRST)!r}, 160, draw), file=sys.argv[1], workers=2, progress=Say())
        """)
    )

    fly_into(tmp_path / "one.h5", samples(FIRST, 160, tilted))
    left = []
    for kill in range(3):
        with subprocess.Popen(
            [sys.executable, str(program), str(tmp_path / "killed.h5")], stdout=subprocess.PIPE, text=True
        ) as child:
            assert child.stdout is not None
            left.append(int(child.stdout.readline().split()[1]))
            for _ in range(30):
                child.stdout.readline()
            if kill < 2:
                child.send_signal(signal.SIGKILL)
            else:
                os.kill(below(child.pid, starts=alone == "starts"), signal.SIGKILL)
            child.stdout.read()
    assert child.returncode == 0
    assert left[0] == 160 > left[1] > left[2] > 0
    assert (tmp_path / "one.h5").read_bytes() == (tmp_path / "killed.h5").read_bytes()


def tilted(rng):
    return {**SHORT, "launch.tilt_deg": rng.uniform(0.5, 8.0)}


def below(parent: int, *, starts: bool) -> int:
    """The process below this one that has used its processor most, of those that have processes below them or of those that have none."""

    def children(pid: int) -> list[int]:
        tasks = Path(f"/proc/{pid}/task").iterdir()
        return [int(child) for task in tasks for child in (task / "children").read_text().split()]

    def tree(pid: int) -> list[int]:
        return [each for child in children(pid) for each in (child, *tree(child))]

    time.sleep(0.05)
    spent = {
        pid: sum(map(int, Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[11:13]))
        for pid in tree(parent)
        if bool(children(pid)) == starts
    }
    return max(spent, key=lambda pid: spent[pid])
