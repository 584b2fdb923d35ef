"""Mishaps that cannot happen to a craft are refused, and so is the same one twice; they were told as if they had happened."""

from __future__ import annotations

from pathlib import Path

import pytest

from paddlebar.errors import BadInput
from paddlebar.files import load_scenario

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
BAR = "tip mass lost", "paddle lost", "bar locked"


def load(*mishaps, **changes):
    cues = tuple({"at_s": 1.0 + k, **({"what": m} if isinstance(m, str) else m)} for k, m in enumerate(mishaps))
    return load_scenario(FIRST, {"mishap": cues, **{k.replace("__", "."): v for k, v in changes.items()}})


@pytest.mark.parametrize(
    ("what", "changes", "says"),
    [
        *((what, {"craft__bar__kind": "none"}, "the craft has no ") for what in BAR),
        ("paddle lost", {}, "no paddle to lose"),
        ("tip mass lost", {"craft__bar__tip_mass_g": 0.0, "craft__all_up_g": 9.2}, "no tip mass to lose"),
        ("teeter locked", {"craft__head__kind": "rigid"}, "no hinge to lock"),
        ("cord off", {"craft__tail__drive": "none"}, "no cord"),
        ("cord slips", {"craft__tail__drive": "none"}, "no cord"),
    ],
)
def test_what_the_craft_does_not_have_cannot_be_lost(what, changes, says):
    paddles = {"craft__bar__paddle_span_mm": 30.0, "craft__bar__paddle_chord_mm": 10.0}
    load(what, **(paddles if what == "paddle lost" else {}))
    with pytest.raises(BadInput, match=says):
        load(what, **changes)


def test_the_same_mishap_happens_once():
    assert len(load("bar locked", {"what": "tip mass lost"}, {"what": "tip mass lost", "arm": 2}).mishap) == 3
    with pytest.raises(BadInput, match="mishap.2.what: happens only once, and mishap 1 is the same"):
        load({"what": "tip mass lost", "arm": 2}, {"what": "tip mass lost", "arm": 2})
    with pytest.raises(BadInput, match="only once"):
        load("bar locked", {"what": "bar locked", "arm": 2})
