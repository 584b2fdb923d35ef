"""What a match says of itself: each doubt has its line, and a sound one has none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from paddlebar.studies.match.study import Compared, Match
from paddlebar.studies.match.unknowns import Unknown
from paddlebar.studies.match.words import pairs, sentences


def made_up(**changes) -> Match:
    unknowns = (
        Unknown("craft.skein.energy_kJ_kg", 6.0, 1.25, 1.0, 11.0),
        Unknown("craft.bar.friction_mN_m", 0.01, 0.01, 0.0, 1.0),
    )
    rows = (Compared(2, "first", "duration_s", 30.0, 1.0, 33.0, 30.1, 1.0),)
    sound = Match(
        unknowns=unknowns, values=np.array([6.5, 0.02]), sds=np.array([0.2, 0.01]), low=np.array([6.2, 0.0]), high=np.array([6.8, 0.04]),
        at_limit=np.array([False, False]), correlation=np.eye(2), readings=rows, endings=(), chi2=1.0, degrees=1, p=0.6, directions=(),
        further=(), remarks=(), converged=True, points=40, wall_s=1.0,
    )  # fmt: skip
    return replace(sound, **changes)


def test_a_sound_match_says_only_that_it_fits():
    assert sentences(made_up()) == ["the model fits the record: chi-square 1.0 with 1 readings, p = 0.6"]


def test_a_search_without_rest_is_no_answer():
    assert "take the figures below as a direction, not as an answer" in sentences(made_up(converged=False))[1]


def test_a_flight_that_ends_otherwise_refuses_the_model_however_near_the_figures():
    lines = sentences(made_up(endings=((2, "landed", "tipped over"),)))
    assert (
        lines[0] == "the model does not fit the record: flights end otherwise (chi-square 1.0 with 1 readings, p = 0.6)"
    )
    assert lines[1] == "line 2: recorded as 'landed', the model's flight ends 'tipped over'"


def test_figures_that_are_far_off_are_named():
    far = replace(made_up().readings[0], after=36.0)
    lines = sentences(made_up(p=1e-9, chi2=36.0, readings=(far,)))
    assert lines[0].endswith("something is not in the model, or the errors are larger than stated")
    assert lines[1].startswith("farthest from the record: duration_s of first (")


def test_a_reading_that_jumps_and_a_value_at_its_limit():
    jumps = replace(made_up().readings[0], reckoned=2.5)
    lines = sentences(made_up(readings=(jumps,), at_limit=np.array([False, True])))
    assert "duration_s of first jumps within the reach of the answer: reckoned to 2.5 instead of 1" in lines
    assert any(line.startswith("craft.bar.friction_mN_m ends at a limit") for line in lines)


def test_errors_that_go_together_or_against_each_other():
    """Named from 0.8 on, either way."""
    for rho, way in ((0.9, "together"), (-0.9, "against each other")):
        (line,) = pairs(made_up(correlation=np.array([[1.0, rho], [rho, 1.0]])))
        assert (
            line == f"craft.skein.energy_kJ_kg and craft.bar.friction_mN_m can be wrong {way} (correlation {rho:+.2f})"
        )
    assert pairs(made_up(correlation=np.array([[1.0, 0.7], [0.7, 1.0]]))) == []
