"""Captions are made from what is drawn: a good and a bad flight of each, told apart; figures reckoned from the made-up arrays."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from factories import made_up_flight
from paddlebar.flight.result import Event, Flight
from paddlebar.pictures.bar import draw_bar, kept_words, windows
from paddlebar.pictures.captions import of_balance, of_flight, of_margins
from paddlebar.pictures.flight import PICTURES


@pytest.fixture(scope="module")
def flight() -> Flight:
    return made_up_flight()


def leaning(flight: Flight, first_deg: float, second_deg: float) -> Flight:
    half = flight.time > 0.5 * flight.time[-1]
    return dataclasses.replace(flight, tilt=np.radians(np.where(half, second_deg, first_deg)), events=[])


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [
        (6.0, 6.5, "6 deg at most in the first half of its flight and 6 deg in the second: the lean neither grew nor died down."),
        (12.0, 5.0, "the lean died down."),
        (5.0, 12.0, "the lean grew."),
        (1.0, 2.0, "hardly at all."),
        (5.0, 80.0, "the lean grew, and at 6.0 s it was out of control."),
    ],
)  # fmt: skip
def test_height(flight, first, second, says):
    assert of_flight("height", leaning(flight, first, second)).endswith(says)


def test_height_of_what_was_not_let_go(flight):
    late = dataclasses.replace(flight, events=[Event("release", float(flight.time[-1]), "let go")])
    assert "never let go" in of_flight("height", late)


def going(flight: Flight, north: Any, east: Any) -> Flight:
    place = np.column_stack([north(flight.time), east(flight.time), -np.ones_like(flight.time)])
    return dataclasses.replace(flight, position_cg=place, events=[])


def test_plan(flight):
    away = of_flight("plan", going(flight, lambda t: 0.5 * t, lambda t: 0.0 * t))
    assert away.startswith("It came 6.0 m away on a path of 6.0 m, 0.5 m/s on average: straight away")
    circle = of_flight("plan", going(flight, np.cos, np.sin))
    assert "round and round" in circle
    assert "stood over its place" in of_flight("plan", going(flight, lambda t: 0.01 * t, lambda t: 0.0 * t))


@pytest.mark.parametrize(
    ("turns", "unwound", "says"),
    [
        (0.1, 100.0, "nearly all of them turned the rotor"),
        (25.0, 100.0, "to the right while the skein let out 100 turns: 25% of them turned the body against the rotor"),
        (-25.0, 100.0, "to the left while the skein let out 100 turns: the body turned along with the rotor"),
        (3.0, 0.0, "while the skein let out 0 turns."),
    ],
)
def test_yaw(flight, turns, unwound, says):
    share = flight.time / flight.time[-1]
    turned = dataclasses.replace(flight, heading=2.0 * np.pi * turns * share, turns_left=200.0 - unwound * share)
    assert says in of_flight("yaw", turned)


def test_bar(flight):
    """The made-up bar holds its plane, the dragged one does not; the caption, the title and the numbers say the same."""
    for each, says in ((flight, "kept its plane"), (made_up_flight(dragged=True), "was dragged along")):
        part = windows(each)[-1]
        assert says in kept_words(part)
        assert f"moved by {math.degrees(part.shaft_moved):.1f} deg" in kept_words(part)
        assert says in of_flight("bar", each)
        figure = draw_bar(each)
        assert says in str(figure.get_suptitle() or [text.get_text() for text in figure.texts])
    still = dataclasses.replace(windows(flight)[-1], shaft_moved=0.001, bar_moved=0.5)
    assert kept_words(still).endswith("too little to tell")


def test_the_bar_is_looked_at_after_letting_go(flight):
    held = dataclasses.replace(flight, events=[Event("release", 3.0, "let go")])
    assert windows(held)[0].start >= 3.0
    assert all(part.start >= 3.0 for part in windows(held))


def test_ledger(flight):
    assert "reach the dashed line" in of_flight("ledger", flight)
    leaking = {**flight.ledger, "residual": 0.05 * flight.ledger["skein"]}
    assert "miss the dashed line by 5 %" in of_flight("ledger", dataclasses.replace(flight, ledger=leaking))
    nothing = {name: 0.0 * values for name, values in flight.ledger.items()}
    assert of_flight("ledger", dataclasses.replace(flight, ledger=nothing)) == "The skein let out nothing."


@pytest.mark.parametrize("name", PICTURES)
def test_every_picture_of_a_flight_has_a_caption(flight, name):
    assert of_flight(name, flight).endswith(".")


def test_an_unknown_picture_is_no_picture(flight):
    with pytest.raises(KeyError):
        of_flight("portrait", flight)


def mode(growth: float, name: str = "sway", body: float = 1.0, bar: float = 0.2) -> Any:
    return SimpleNamespace(growth_per_s=growth, name=name, body=np.array([body, 0.0]), bar=np.array([bar, 0.0]))


def margins(*growths: float, bar: float = 0.2) -> Any:
    points = [
        SimpleNamespace(turns_left=100.0 * (k + 1), worst_growth_per_s=g, modes=(mode(g),) if math.isfinite(g) else ())
        for k, g in enumerate(growths)
    ]
    return SimpleNamespace(along_rundown=points, modes=(mode(growths[0], bar=bar),), margin_reasons={"gain": ("", "")})


def test_margins_that_die_out_and_that_grow():
    good, bad = margins(-0.5, -0.2), margins(-0.5, 3.0, math.nan)
    assert of_margins("growth", good) == "Small disturbances die out at all 2 places where a steady motion was found."
    assert of_margins("growth", bad) == (
        "A small disturbance grows at 1 of 2 places, fastest with 200 turns left (+3.00 /s, double in 0.23 s); at 1 places none was found."
    )
    assert "No steady motion" in of_margins("growth", margins(math.nan))
    assert "Nothing crosses the thick line; sway comes nearest, -0.20 /s with 200 turns left" in of_margins(
        "modes", good
    )
    assert "Sway crosses the thick line, +3.00 /s with 200 turns left" in of_margins("modes", bad)
    assert "keeps its plane" in of_margins("shapes", good)
    assert "goes along with the body" in of_margins("shapes", margins(-0.5, bar=0.9))
    assert of_margins("averaged", good) == ""


@pytest.mark.parametrize(
    ("rotor", "tail", "says"),
    [
        (3.0, -2.9, "they hold each other."), (3.0, -1.0, "it holds 33% of it."), (3.0, -4.5, "it pushes 150% of that, too much."),
        (3.0, 1.0, "the tail pushes with the rotor, not against it."), (math.nan, math.nan, "No part of the run-down was flown."),
    ],
)  # fmt: skip
def test_balance(rotor, tail, says):
    run = SimpleNamespace(rotor_moment_mn_m=np.array([rotor, rotor]), tail_moment_mn_m=np.array([tail, tail]))
    assert of_balance(cast(Any, run)).endswith(says)
