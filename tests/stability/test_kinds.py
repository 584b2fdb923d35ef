"""Kinds of steady motion, and which of several is compared with."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from paddlebar.stability.kinds import comparable, kind, motion, nearest
from paddlebar.stability.words import sentence


def moving(climb: float = 0.0, drift: float = 0.1, tilt: float = 2.0, spin: float = 0.0, wake: bool = False) -> Any:
    return cast(
        Any,
        SimpleNamespace(climb_m_s=climb, drift_m_s=drift, tilt_deg=tilt, body_rate_deg_s=spin, in_own_wake=wake),
    )


@pytest.mark.parametrize(
    ("e", "wanted"),
    [
        (moving(), "hovers"),
        (moving(climb=0.5), "climbs"),
        (moving(climb=-0.5, spin=-90.0), "sinks, turning"),
        (moving(drift=0.9, spin=60.0), "hovers in circles"),
        (moving(drift=1.7, tilt=28.0), "flies off"),
        (moving(tilt=20.0), "flies off"),
        (moving(climb=-1.0, wake=True), "sinks in its own wake"),
    ],
)
def test_kinds(e, wanted):
    assert kind(e) == wanted


def test_the_motion_compared_with_is_the_most_alike_not_the_steadiest():
    hover, off, fast = moving(climb=0.1), moving(drift=1.8, tilt=25.0), moving(drift=2.5, tilt=30.0)
    assert nearest([off, hover], moving(climb=0.2)) is hover
    assert nearest([hover, fast, off], moving(drift=1.6, tilt=20.0)) is off
    assert nearest([off, hover], None) is off  # the first
    assert nearest([], hover) is None
    assert comparable(motion(hover), motion(moving(climb=0.5, spin=90.0)))
    assert not comparable(motion(hover), motion(off))


def test_the_sentence_names_a_motion_of_another_kind():
    own, off = motion(moving()), motion(moving(drift=1.7, tilt=28.0))
    said = sentence("stabilises", True, 90.0, -1.0, 2.0, own, off)
    assert "with the bar disconnected it flies off at 1.7 m/s, leaning 28 deg, and there they double in 0.35 s" in said
    assert "flies off" not in sentence("stabilises", True, 90.0, -1.0, 2.0, own, own)
