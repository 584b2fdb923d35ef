"""How a flight went, in words: a good one, a bad one, one of an older program."""

from __future__ import annotations

from typing import Any

import pytest

from paddlebar.flight.endings import Outcome
from paddlebar.pictures.judged import SAYS, did_it_fly, headline, matter, minor

LEANED = {"code": "leaned", "from_s": 3.0, "sentence": "leaned past 30 deg from 3.0 s on", "matters": True}
KNOCK = {
    "code": "struck its stops",
    "from_s": 1.0,
    "sentence": "the bar touched its stops for a moment",
    "matters": False,
}


def summary(outcome: str = "landed", controlled: float = 9.0, *faults: dict[str, Any], **more: Any) -> dict[str, Any]:
    release = {"name": "release", "time_s": 1.0, "sentence": "let go"}
    return {
        "outcome": outcome,
        "controlled_s": controlled,
        "duration_s": 10.0,
        "faults": list(faults),
        "events": [release],
        **more,
    }


def test_every_outcome_has_words():
    assert SAYS.keys() == set(Outcome)


@pytest.mark.parametrize(
    ("given", "first", "answer"),
    [
        (summary(), "landed upright, in control all 9.0 s", "Yes: landed upright, in control all 9.0 s"),
        (summary("landed", 9.0, KNOCK), "landed upright, in control all 9.0 s", "Yes: landed upright, in control all 9.0 s"),
        (summary("landed", 2.0, LEANED), "landed upright, in control for 2.0 of 9.0 s",
         "In part: landed upright, in control for 2.0 of 9.0 s, but leaned past 30 deg from 3.0 s on"),
        (summary("crashed", 2.0, LEANED), "crashed, in control for 2.0 of 9.0 s",
         "No: crashed, in control for 2.0 of 9.0 s; leaned past 30 deg from 3.0 s on"),
        (summary("out of control", 0.0), "out of control when the time was up, in control for 0.0 of 9.0 s",
         "No: out of control when the time was up, in control for 0.0 of 9.0 s"),
        (summary("never let go", 0.0), "never let go", "No: never let go"),
        (summary("broke", 0.0, duration_s=0.0), "broke", "No: broke"),
        (summary("failed", 2.0), "the computation failed", "The computation failed; what was flown up to there is shown"),
        ({"outcome": "landed"}, "landed upright", "Yes: landed upright"),  # of an older program
        ({}, "", "No: "),
    ],
)  # fmt: skip
def test_first_line_and_first_answer(given, first, answer):
    assert headline(given) == first
    assert did_it_fly(given) == answer


def test_what_matters_and_what_is_worth_knowing_stand_apart():
    both = summary("landed", 9.0, LEANED, KNOCK)
    assert matter(both) == [LEANED["sentence"]]
    assert minor(both) == [KNOCK["sentence"]]
