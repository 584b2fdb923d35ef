"""The page as a file: whole, small, asking nothing of a network, and proof against what a craft may be called.

Tried once on broken code, each failed here: a title put in unescaped, "<" and ">" left as they are in the data, the hash of another script.
"""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import paddlebar
from paddlebar.errors import BadInput, NotARunFile
from paddlebar.files.cautions import CAUTIONS
from paddlebar.flight.fly import fly_scenario
from paddlebar.replay_page.page import page
from replay_page.conftest import scenario_of

MB_FOR_A_MINUTE = 8.0
SAMPLES_A_SECOND = 70  # of a flight by the solver's own steps, or a little more
EVIL = "</script><script>window.evil = 1</script><img src=x onerror='window.evil = 2'>\"'&<!-- \u2028 end"


class Reader(HTMLParser):
    """What a browser would find: elements with their attributes, texts of scripts and styles, and visible text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.inside: dict[str, list[str]] = {"script": [], "style": []}
        self.words = ""
        self.tag = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.elements.append((tag, dict(attrs)))
        self.tag = tag
        if tag in self.inside:
            self.inside[tag].append("")

    def handle_endtag(self, tag: str) -> None:
        self.tag = ""

    def handle_data(self, data: str) -> None:
        if self.tag in self.inside:
            self.inside[self.tag][-1] += data
        else:
            self.words += data


@pytest.fixture(scope="module")
def plain_page(recorded) -> str:
    return page([recorded()], ["run.h5"])


def test_the_page_asks_nothing_of_a_network(plain_page):
    """No element loads anything: no src, the only link is an empty icon, and the page's own policy forbids the rest."""
    found = Reader(plain_page)
    assert [attrs for _, attrs in found.elements if "src" in attrs or "srcset" in attrs or "action" in attrs] == []
    assert {attrs["href"] for _, attrs in found.elements if "href" in attrs} == {"data:,", "#figures"}
    assert not re.search(r"@import|url\(", found.inside["style"][0])
    policy = next(a["content"] for _, a in found.elements if a.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    assert policy.startswith("default-src 'none'; ")
    assert "http" not in policy
    assert "unsafe" not in policy


def test_the_policy_admits_the_page_s_own_script_and_style_and_no_other(plain_page):
    found = Reader(plain_page)
    for kind, text in (("script", found.inside["script"][-1]), ("style", found.inside["style"][0])):
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in plain_page
    assert len(found.inside["script"]) == 3  # the data, the tours and the program
    assert not any(name.startswith("on") or name == "style" for _, attrs in found.elements for name in attrs)


def test_the_page_carries_outcome_figures_events_cautions_versions_and_licence(plain_page, recorded):
    flight = recorded()
    words = Reader(plain_page).words
    assert flight.sentence in words
    assert f"{flight.summary['peak_height_m']:.2f}" in words
    assert all(event.sentence in words for event in flight.events)
    assert all(caution in words for caution in CAUTIONS)
    assert all(f"{name} {number}" in words for name, number in flight.versions.items())
    assert "three.js authors" in plain_page
    assert "Permission is hereby granted" in plain_page


def test_texts_of_a_flight_stay_texts():
    """Title, notes and names of a hostile file appear on the page as they are, and end or begin no element."""
    flight = fly_scenario(
        scenario_of({"run.duration_s": 0.1, "craft.name": EVIL[:190], "craft.note": EVIL, "note": EVIL})
    )
    flight = dataclasses.replace(flight, sentence=EVIL, outcome=EVIL)
    text = page([flight], ["x"])
    harmless, found = Reader(page([fly_scenario(scenario_of({"run.duration_s": 0.1}))], ["x"])), Reader(text)
    extra = 2  # two paragraphs more, for the notes
    assert [tag for tag, _ in found.elements if tag != "p"] == [tag for tag, _ in harmless.elements if tag != "p"]
    assert len(found.elements) <= len(harmless.elements) + extra
    assert found.words.count("</script><script>window.evil") >= 4
    (run,) = json.loads(found.inside["script"][0])
    assert run["craft"]["note"] == EVIL
    assert run["sentence"] == EVIL


def test_a_flight_of_a_minute_stays_small(recorded):
    flight = recorded()
    n = 60 * SAMPLES_A_SECOND
    keep = np.resize(np.arange(flight.time.size), n)
    longer = {
        f.name: getattr(flight, f.name)[keep]
        for f in dataclasses.fields(flight)
        if isinstance(getattr(flight, f.name), np.ndarray)
    }
    noise = np.random.default_rng(1).normal(size=n)  # base64 does not shrink, but be sure
    minute = dataclasses.replace(flight, **{**longer, "time": np.linspace(0.0, 60.0, n), "tilt": noise**2})
    both = page([minute, minute], ["a", "b"])
    assert len(both.encode()) < MB_FOR_A_MINUTE * 1e6


@pytest.mark.parametrize("count", [0, 3])
def test_one_flight_or_two(recorded, count):
    with pytest.raises(BadInput, match="one or two flights"):
        page([recorded()] * count, ["x"] * count)


def test_a_flight_that_failed_is_drawn_as_far_as_it_is_finite(recorded):
    flight = recorded()
    broken = flight.position.copy()
    broken[-3:] = np.nan
    attitude = flight.attitude.copy()
    attitude[-3:] = np.nan
    data = json.loads(
        Reader(page([dataclasses.replace(flight, position=broken, attitude=attitude)], ["x"])).inside["script"][0]
    )
    assert data[0]["samples"] == flight.time.size - 3


def test_replay_from_python(run_file, tmp_path: Path):
    flight = paddlebar.fly(scenario_of({"run.duration_s": 0.1}))
    one = paddlebar.replay(flight, tmp_path / "one.html")
    two = paddlebar.replay([run_file().parent, flight], tmp_path / "two.html")
    assert one.read_text(encoding="utf-8").count('<div class="view">') == 1
    assert two.read_text(encoding="utf-8").count('<div class="view">') == 2
    with pytest.raises(BadInput, match="no such run file"):
        paddlebar.replay(tmp_path / "absent.h5", tmp_path / "x.html")
    with pytest.raises(NotARunFile):
        paddlebar.replay(one, tmp_path / "x.html")
    assert not (tmp_path / "x.html").exists()
