"""One page about a flight: whole in itself, safe, the same on paper."""

from __future__ import annotations

import dataclasses
import hashlib
import math
import re
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from factories import as_recorded, made_up_flight, made_up_scenario
from paddlebar import fly, load_scenario
from paddlebar.files.cautions import CAUTIONS
from paddlebar.report_page.compose import compose
from paddlebar.report_page.document import Picture, Table, Text, Words
from paddlebar.report_page.findings import _stick_sentence
from paddlebar.report_page.html import html
from paddlebar.report_page.paper import paper
from paddlebar.report_page.save import save_html, save_pdf
from paddlebar.stability.result import Margins, RunDownPoint
from paddlebar.studies.report.gathered import Account, account
from paddlebar.studies.suggestion import How, Suggestion

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SECTIONS = ["first", "figures", "pictures", "margins", "yaw", "ledger", "stick", "inputs", "versions", "sources", "cautions"]  # fmt: skip
NASTY = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'&{{ 7*7 }}{% raw %}"


class Reader(HTMLParser):
    """Tags with their attributes, and the words between them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words.append(data)

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for each, attrs in self.tags if each == tag]


def some_margins() -> Margins:
    """Three points of a run-down, made up."""
    points = tuple(
        RunDownPoint(t, 3.0, g, 2.0, 0.1, 400.0, 5.0, 0.3, 2.0, 1e-12, (), math.nan, math.nan, ())
        for t, g in ((300.0, -0.5), (150.0, -0.4), (0.0, 0.3))
    )
    return Margins(
        verdict="stabilises", sentence="the bar stabilises: made up", caution="this was made up", motion=None, motion_without_bar=None, turns_at_verdict=150.0,
        worst_growth_per_s=-0.4, worst_growth_without_bar_per_s=2.0, error_per_s=1e-6, modes=(), modes_without_bar=(),
        gain_margin=(0.5, None), lead_margin_deg=(-20.0, 4.0), mass_margin_g=(None, None),
        margin_reasons={
            "gain": ("", "same verdict up to 9"),
            "lead": ("", "that steady flight ends there"),
            "mass": ("same verdict down to 0", "same verdict up to 9"),
        },
        along_rundown=points, worst_along_rundown_per_s=0.3, turns_at_worst=0.0, wall_s=0.0,
    )  # fmt: skip


@pytest.fixture(scope="module")
def found() -> Account:
    scenario = load_scenario(SCENARIOS / "first-flight.toml", {"run.duration_s": 8.0})
    return account(fly(scenario), "run.h5", found=some_margins())


@pytest.fixture(scope="module")
def document(found):
    return compose(found, "run.h5")


@pytest.fixture(scope="module")
def page(document):
    return html(document)


def test_sections_stand_in_their_order_and_none_is_empty(document):
    assert [section.name for section in document.sections] == SECTIONS
    assert all(section.blocks for section in document.sections)


def test_the_first_screen_answers_what_a_builder_asks(document, page):
    questions = [question for question, _ in document.answers]
    assert questions == ["Did it fly?", "How long?", "Why did it end?", "What first?"]
    assert document.answers[1][1].startswith("8.0 s")
    assert "the bar stabilises" in document.verdict
    head = page[: page.index("</header>")]
    assert all(question in head for question in questions)
    assert document.outcome in head


def test_the_page_loads_nothing_and_runs_nothing(page):
    read = Reader(page)
    assert read.all("script") == []
    assert read.all("link") == []
    assert read.all("iframe") == []
    assert all(attrs["src"].startswith("data:image/") for attrs in read.all("img"))
    assert all(attrs["href"].startswith("#") for attrs in read.all("a"))
    policy = next(attrs["content"] for attrs in read.all("meta") if attrs.get("http-equiv"))
    assert policy.startswith("default-src 'none'; img-src data:; style-src 'sha256-")
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    import base64

    assert base64.b64encode(hashlib.sha256(style.encode()).digest()).decode() in policy
    assert "url(" not in style
    assert "@import" not in style
    assert all("style" not in attrs and not any(name.startswith("on") for name in attrs) for _, attrs in read.tags)


def test_the_page_is_small_and_the_same_twice(document, page):
    assert len(page.encode()) < 3_000_000
    assert html(document) == page


def test_every_link_has_its_place_and_every_picture_its_sentence(page):
    read = Reader(page)
    names = {attrs["id"] for _, attrs in read.tags if "id" in attrs}
    assert len(names) == sum("id" in attrs for _, attrs in read.tags)
    assert {attrs["href"][1:] for attrs in read.all("a")} <= names
    assert len(read.all("img")) == 7  # four of the flight, growth, balance, ledger: no modes were given
    assert all(len(attrs["alt"]) > 20 for attrs in read.all("img"))
    assert len(read.all("h1")) == 1
    assert len(read.all("h2")) == len(SECTIONS)


def test_it_shows_colours_for_dark_rooms_and_for_paper(page):
    assert "prefers-color-scheme: dark" in page
    assert "@media print" in page
    assert "size: A4" in page


def test_figures_settings_inputs_and_cautions_are_all_there(found, page):
    words = " ".join(" ".join(Reader(page).words).split())
    assert " ".join(found.flight.effective_toml.split())[:300] in words
    assert " ".join(found.flight.craft_toml.split())[-200:] in words
    assert re.search(r"energy from full wind, by the settings \d+(\.\d+)? kJ/kg", words)
    assert "loss, of the winding work" in words
    assert all(caution in words for caution in CAUTIONS)
    assert "D. M. Pitt" in words
    assert "But this was made up." in words
    assert "lead forward" not in words
    assert f"{found.flight.summary['peak_height_m']:.2f}" in words


def test_numbers_of_the_margins_are_those_given(document):
    margins = next(section for section in document.sections if section.name == "margins")
    tables = [block for block in margins.blocks if isinstance(block, Table)]
    assert ("lead", "down to -20.0 deg; up to +4.0 deg (that steady flight ends there)") in tables[0].rows
    assert ("tip mass", "down: same verdict down to 0; up: same verdict up to 9") in tables[0].rows
    assert tables[-1].rows[0][1] == "-0.500"


def test_hostile_names_stay_words():
    plain = made_up_scenario(NASTY, "</pre>" + NASTY)
    craft = plain.craft.model_copy(update={"name": NASTY})
    scenario = plain.model_copy(update={"title": NASTY, "craft": craft})
    flight = dataclasses.replace(made_up_flight(duration=2.0, scenario=scenario), sentence=NASTY)
    unread = account(as_recorded(flight, effective_toml="nothing"), NASTY)
    page = html(compose(dataclasses.replace(unread, flight=flight), NASTY))
    read = Reader(page)
    assert read.all("script") == []
    assert all(attrs["src"].startswith("data:image/") for attrs in read.all("img"))
    assert not any(name.startswith("on") for _, attrs in read.tags for name in attrs)
    assert len(read.all("pre")) == 3
    assert NASTY in "".join(read.words)
    assert "49" not in read.words[read.words.index(NASTY)]


def test_a_flight_that_cannot_be_read_again_still_has_a_page():
    flight = as_recorded(made_up_flight(duration=2.0), effective_toml='title = "of another time"')
    document = compose(account(flight, "old.h5"), "old.h5")
    assert [section.name for section in document.sections] == SECTIONS
    words = [block.text for section in document.sections for block in section.blocks if isinstance(block, Words)]
    assert any("cannot be used on this machine" in each for each in words)


def test_paper_holds_the_same_in_the_same_order(document):
    pages = paper(document)
    texts = [" ".join(text.get_text() for text in page.axes[0].texts) for page in pages]
    whole = " ".join(texts)
    places = [
        whole.index(section.title) for section in document.sections if section.title not in {"Pictures", "Figures"}
    ]
    assert len(places) == len(SECTIONS) - 2
    drawn = [image for page in pages for image in page.axes[0].images]
    assert len(drawn) == sum(isinstance(block, Picture) for section in document.sections for block in section.blocks)
    for section in document.sections:
        for block in section.blocks:
            if isinstance(block, Text):
                assert block.caption in whole
    assert f"page 1 of {len(pages)}" in whole
    assert all(page.get_size_inches() == pytest.approx((210 / 25.4, 297 / 25.4)) for page in pages)


def test_files_are_whole_and_paper_knows_no_hour(document, tmp_path):
    assert save_html(document, tmp_path / "a.html") == (tmp_path / "a.html").stat().st_size
    small = dataclasses.replace(document, sections=document.sections[:2])
    save_pdf(small, tmp_path / "a.pdf")
    save_pdf(small, tmp_path / "b.pdf")
    image = (tmp_path / "a.pdf").read_bytes()
    assert image.startswith(b"%PDF-")
    assert b"CreationDate" not in image
    assert image == (tmp_path / "b.pdf").read_bytes()


@pytest.mark.slow
def test_the_real_thing_with_its_margins(tmp_path):
    import paddlebar

    flight = fly(load_scenario(SCENARIOS / "first-flight.toml"))
    page = paddlebar.report(flight, tmp_path / "r.html", pdf=tmp_path / "r.pdf").read_text(encoding="utf-8")
    read = Reader(page)
    assert len(read.all("img")) == 9
    assert "the bar stabilises" in page
    assert len(page) < 3_000_000
    assert (tmp_path / "r.pdf").read_bytes().rstrip().endswith(b"%%EOF")


def told(found: Account, **flight) -> dict[str, str]:
    """The answers of the first screen for another end of the same flight, and the verdict."""
    document = compose(dataclasses.replace(found, flight=dataclasses.replace(found.flight, **flight)), "x.h5")
    return dict(document.answers) | {"verdict": document.verdict}


def test_a_flight_that_tipped_and_flew_on_says_when_and_then_how_it_ended(found):
    tipped = dataclasses.replace(
        found.flight.events[0], name="tipped over", time_s=4.04, sentence="tipped past 100 deg at 4.04 s"
    )
    lean = {"code": "leaned", "from_s": 3.1, "sentence": "leaned past 30 deg from 3.1 s on", "matters": True}
    how = {"outcome": "tipped over", "controlled_s": 2.5, "faults": [lean], "flew_well": False}
    summary = {**found.flight.summary, "powered_s": 3.25, **how}
    answers = told(
        found,
        outcome="tipped over",
        sentence="touched the floor at 8.00 s",
        events=[*found.flight.events, tipped],
        summary=summary,
    )
    assert answers["verdict"].startswith("Tipped over at 4.0 s")
    assert answers["Did it fly?"].startswith("No: tipped over, in control for 2.5 of")
    assert "leaned past 30 deg from 3.1 s on" in answers["Did it fly?"]
    assert "3.2 s of it with turns left" in answers["How long?"]
    assert answers["Why did it end?"].startswith(
        "Touched the floor at 8.00 s; before that, tipped past 100 deg at 4.04 s"
    )


def test_a_flight_without_energy_or_anything_to_draw_has_words_in_their_place(found):
    """Of one sample that is no number: no picture can be drawn, and each says why; nothing was let out."""
    empty = {
        field.name: math.nan * getattr(found.flight, field.name)[:1]
        for field in dataclasses.fields(found.flight)
        if isinstance(getattr(found.flight, field.name), np.ndarray)
    }
    ledger = {name: values[:1] for name, values in found.flight.ledger.items()}
    flight = dataclasses.replace(
        found.flight, **empty, ledger=ledger, summary={**found.flight.summary, "energy_error": math.nan}
    )
    document = compose(dataclasses.replace(found, flight=flight), "x.h5")
    for name in ("pictures", "ledger"):
        (section,) = [section for section in document.sections if section.name == name]
        words = [block.text for block in section.blocks if isinstance(block, Words)]
        assert any("not drawn (" in each for each in words), name
        assert not any(isinstance(block, Picture) for block in section.blocks), name
    assert any("Nothing was let out." in block.text for block in section.blocks if isinstance(block, Words))


def test_changes_that_were_flown_stand_in_a_table(found):
    before, after = How("crashed", 3.04, 8.0), How("landed", 14.04, 15.0)
    told = Suggestion(("craft.bar.gain=1",), "gain up", "flown", before, after, in_all=True, changes={})
    document = compose(dataclasses.replace(found, suggestions=(told,)), "x.h5")
    (rows,) = [block.rows for block in document.sections[0].blocks if isinstance(block, Table)]
    assert rows == (("gain up", "landed", "3.0", "14.0", "15.0"),)


@pytest.mark.parametrize(
    ("nominal", "low", "says"), [(2.0, 1.5, "holds: it bears 2.0"), (1.2, 0.8, "holds if it is no poor piece"), (0.8, 0.5, "breaks: ")]
)  # fmt: skip
def test_the_stick_is_judged_by_its_poorest_piece(nominal, low, says):
    strength = SimpleNamespace(
        unknown="", turns=400.0, breaking_turns=577.0, stick_margin=nominal, stick_margin_low=low
    )
    assert says in _stick_sentence(SimpleNamespace(strength=strength))
    strength.unknown = "no part lies along the skein"
    assert (
        _stick_sentence(SimpleNamespace(strength=strength))
        == "The stick's strength is not known: no part lies along the skein."
    )
