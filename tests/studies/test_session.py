"""What every study has at its opening: helpers only where they are worth it, a file or none, and words that tell one study from another."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from paddlebar import load_scenario
from paddlebar.errors import BadInput
from paddlebar.studies.session import identity, session

SCENARIO = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
TABLE = "alpha_deg,cl,cd\n-180,0,0.1\n0,0.2,0.05\n180,0,0.1\n"


def doubled(_index, inputs):
    return [2.0 * inputs[0]], 0


class Counted:
    """A maker of helpers that counts how often it was asked."""

    def __init__(self):
        self.made = []

    def __call__(self, workers):
        self.made.append(workers)
        return ThreadPoolExecutor(workers)


@pytest.mark.parametrize(("count", "workers", "made"), [(3, 2, []), (4, 2, [2]), (4, 1, [])])
def test_helpers_are_made_once_and_only_where_they_are_worth_their_start(count, workers, made):
    helpers = Counted()
    with session({"what": "a"}, ["x"], ["y"], workers=workers, few=3, helpers=helpers) as here:
        here.complete({k: [float(k)] for k in range(count)}, doubled, "doubling")
        here.complete({k: [float(k)] for k in range(count + 4)}, doubled, "doubling")
        assert here.study.arrays().outputs[:, 0].tolist() == [2.0 * k for k in range(count + 4)]
    assert helpers.made == (made or ([2] if workers == 2 else []))


def test_the_callers_own_executor_is_used_and_left_open():
    helpers = Counted()
    with ThreadPoolExecutor(1) as own:
        with session({"what": "a"}, ["x"], ["y"], executor=own, helpers=helpers) as here:
            here.complete({0: [1.0]}, doubled, "doubling")
        assert own.submit(int, "7").result() == 7
    assert helpers.made == []


def test_progress_is_told_after_each(tmp_path):
    class Told:
        def __init__(self):
            self.steps = []

        def start(self, steps): ...

        def step(self, what):
            self.steps.append(what)

        def close(self): ...

    told, other = Told(), Told()
    with session({"what": "a"}, ["x"], ["y"], file=tmp_path / "s.h5", progress=told) as here:
        here.complete({0: [1.0], 1: [2.0]}, doubled, "doubling")
        here.complete({0: [1.0], 2: [2.0]}, doubled, "again", other)
    assert told.steps == ["doubling"] * 2
    assert other.steps == ["again"]
    assert [file.name for file in tmp_path.iterdir()] == ["s.h5"]


def test_broken_off_what_is_finished_stays(tmp_path):
    def tires(index, inputs):
        if index == 2:
            raise KeyboardInterrupt
        return doubled(index, inputs)

    wanted = {k: [float(k)] for k in range(4)}
    with pytest.raises(KeyboardInterrupt), session({"what": "a"}, ["x"], ["y"], file=tmp_path / "s.h5") as here:
        here.complete(wanted, tires, "doubling")
    with session({"what": "a"}, ["x"], ["y"], file=tmp_path / "s.h5") as here:
        assert here.study.missing(wanted) == [2, 3]
    with (
        pytest.raises(BadInput, match="another what"),
        session({"what": "b"}, ["x"], ["y"], file=tmp_path / "s.h5"),
    ):
        pass


def test_a_table_of_the_users_own_that_was_edited_makes_another_study(tmp_path):
    """The description holds it."""
    table = tmp_path / "mine.csv"
    table.write_text(TABLE)

    def of():
        text = load_scenario(SCENARIO, {"craft.rotor.section": str(table)}).effective_toml()
        return identity(text, study="rank", choice_of_parameters="all")

    before = of()
    assert set(before) == {"scenario", "equations", "study", "choice of parameters"}
    with session(before, ["x"], ["y"], file=tmp_path / "s.h5") as here:
        here.complete({0: [1.0]}, doubled, "doubling")
    table.write_text(TABLE.replace("0.05", "0.06"))
    with pytest.raises(BadInput, match="another scenario"), session(of(), ["x"], ["y"], file=tmp_path / "s.h5"):
        pass
