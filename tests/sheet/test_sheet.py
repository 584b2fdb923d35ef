"""The build sheet: to scale in the file that is printed, nothing over anything else, every figure from the craft."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from paddlebar.checks.findings import Finding
from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.craft import Craft, weights_g
from paddlebar.files.flight_record import read_flight_record
from paddlebar.files.load import load_craft, parse_craft
from paddlebar.sheet.book import draw_sheet, save_sheet
from paddlebar.sheet.page import A4_MM, save_pdf
from paddlebar.sheet.testplan import MEANS, RECORD
from pictures.paper import outside, overlaps, pdf_lines, pdf_rectangles, pdf_streams, words

ROOT = Path(__file__).parents[2]
HALL = ROOT / "models" / "hall-ten.toml"
SMALL = ROOT / "tests" / "files" / "good" / "craft.toml"
POINT_MM = 25.4 / 72.0

ODD: dict[str, tuple[Path, dict[str, Any]]] = {
    **{path.stem: (path, {}) for path in sorted((ROOT / "models").glob("*.toml"))},
    "four blades, paddles": (
        HALL,
        {
            "rotor.blades": 4,
            "all_up_g": 11.9,
            "head.kind": "flapping",
            "head.hinge_offset_mm": 12,
            "head.delta3_deg": 20,
            "bar.paddle_span_mm": 30,
            "bar.paddle_chord_mm": 18,
            "bar.paddle_mass_g": 0.1,
            "bar.lead_deg": 45,
            "shaft.turns": "clockwise",
        },
    ),
    "neither tail nor bar": (SMALL, {"tail.drive": "none", "bar.kind": "none", "rotor.tip_chord_mm": 14}),
    "three blades, long name": (
        SMALL,
        {
            "rotor.blades": 3,
            "head.kind": "rigid",
            "bar.lead_deg": 180,
            "bar.kind": "locked",
            "all_up_g": 9.0,
            "name": "x $ " * 40,
        },
    ),
    "long boom": (SMALL, {"part.boom.to_mm": [-1200, 0, -100], "tail.at_mm": [-1200, -6, -100]}),
    "large": (
        SMALL,
        {"rotor.radius_mm": 900, "rotor.chord_mm": 90, "part.stick.from_mm": [8, 0, -50], "part.boom.to_mm": [-950, 0, -300],
         "part.boom.from_mm": [8, 0, -300], "tail.at_mm": [-990, -6, -300], "skein.hooks_mm": [[0, 0, -22], [0, 0, -400]],
         "part.stick.to_mm": [8, 0, -420]},
    ),
    "tail on its own skein": (
        SMALL,
        {"tail.drive": "skein", "tail.skein.mass_g": 0.3, "tail.skein.length_mm": 120, "tail.skein.hooks_mm": [[-240, 0, -105], [-120, 0, -105]]},
    ),
    "tall": (SMALL, {"shaft.hub_mm": [0, 0, 1200]}),
    "small, letters that the font has not": (
        SMALL,
        {"name": "\u4e16\u754c \n \\ {} % \U0001f681", "rotor.radius_mm": 60, "rotor.root_mm": 12, "rotor.chord_mm": 10, "bar.arm_mm": 30,
         "part.boom.to_mm": [-80, 0, -100], "tail.at_mm": [-80, -6, -100], "tail.radius_mm": 14},
    ),
    "six broad blades": (SMALL, {"rotor.blades": 6, "head.kind": "rigid", "rotor.chord_mm": 60, "all_up_g": 11.7}),
    "lead of nothing, bar below": (SMALL, {"bar.lead_deg": 0, "bar.height_mm": -9, "bar.stop_deg": 1}),
}  # fmt: skip


LATER = ("three blades", "long boom", "tail on", "tall", "six broad", "lead of nothing")
CASES = [pytest.param(name, marks=pytest.mark.slow) if name.startswith(LATER) else name for name in ODD]


def with_parts(count: int) -> Craft:
    """hall-ten with so many drops of glue more, all in one place, names as long as they may be."""
    drops = "".join(
        f'[[part]]\nname = "drop {n:03d} {"x" * 50}"\nkind = "point"\nat_mm = [{-200 - 0.3 * n:.1f}, {n % 7 - 3}, {-200 + 0.2 * n:.1f}]\nmass_g = 0.001\n\n'
        for n in range(count)
    )
    return parse_craft(HALL.read_text(encoding="utf-8").replace("[shaft]", drops + "[shaft]", 1))


@pytest.mark.slow
def test_a_hundred_parts_still_find_their_numbers_and_their_lines() -> None:
    many = with_parts(100)
    figures = draw_sheet(many)
    for figure in figures:
        assert overlaps(figure) == [], figure.get_label()
        assert outside(figure) == [], figure.get_label()
    (view,) = [each for each in figures if str(each.get_label()).endswith(": Side view.")]
    side = {text for text, _ in words(view)}
    assert {str(number) for number in range(1, len(weights_g(many)) + 1)} <= side
    assert any("more places stand in the parts list" in text for text in side)


def test_what_the_check_found_stands_before_the_plan() -> None:
    found = [
        Finding("stop", "stick", "the stick breaks " * 30, "make it thicker"),
        Finding("fine", "lift", "it lifts", "nothing"),
    ]
    figures = draw_sheet(craft("hall-ten"), found)
    assert all(overlaps(figure) == [] for figure in figures)
    flat = " ".join(text for figure in figures for text, _ in words(figure))
    assert "make it thicker" in flat
    assert "it lifts" not in flat


@cache
def craft(name: str) -> Craft:
    path, changes = ODD[name]
    return load_craft(path, changes)


@cache
def sheet(name: str) -> list[Figure]:
    return draw_sheet(craft(name))


def page(name: str, title: str) -> Figure:
    return next(figure for figure in sheet(name) if str(figure.get_label()).endswith(f": {title}."))


@pytest.mark.parametrize("name", CASES)
def test_no_words_lie_over_others_nor_over_the_frame(name: str) -> None:
    for figure in sheet(name):
        assert overlaps(figure) == [], figure.get_label()
        assert outside(figure) == [], figure.get_label()


@pytest.mark.parametrize("name", CASES)
def test_nothing_is_drawn_outside_the_frame(name: str) -> None:
    for figure in sheet(name):
        width, height = (25.4 * side for side in figure.get_size_inches())
        assert sorted((round(width, 1), round(height, 1))) == list(A4_MM)
        for patch in figure.axes[0].findobj(Polygon):
            spots = patch.get_xy()
            assert spots.min() >= 8.0 - 1e-6, figure.get_label()
            assert spots[:, 0].max() <= width - 8.0 + 1e-6, figure.get_label()
            assert spots[:, 1].max() <= height - 8.0 + 1e-6, figure.get_label()


def stated_scale(figure: Figure) -> float:
    found = next(text for text, _ in words(figure) if text.startswith("scale "))
    over = re.match(r"scale ([\d.]+):([\d.]+),", found)
    assert over is not None
    return float(over[1]) / float(over[2])


@pytest.mark.parametrize("name", ["hall-ten", pytest.param("printed-28", marks=pytest.mark.slow), "large"])
def test_the_scale_bar_is_right_in_the_printed_file(name: str, tmp_path: Path) -> None:
    """Read from the PDF itself, in points: ten equal pieces, 100 mm in all, lettered by the stated scale, within 0.5 %."""
    save_sheet(craft(name), tmp_path / "sheet.pdf")
    boxes = [tuple(float(v) for v in each) for each in re.findall(rb"/MediaBox \[ ?([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+) ?\]", (tmp_path / "sheet.pdf").read_bytes())]  # fmt: skip
    assert len(boxes) == len(sheet(name))
    for box in boxes:
        assert sorted(side * POINT_MM for side in box[2:]) == pytest.approx(A4_MM, rel=1e-4)
    drawn = [figure for figure in sheet(name) if any(text.startswith("scale ") for text, _ in words(figure))]
    streams = [stream for stream in pdf_streams(tmp_path / "sheet.pdf") if scale_pieces(stream)]
    assert len(streams) == len(drawn) >= 4
    for stream, figure in zip(streams, drawn, strict=True):
        pieces = scale_pieces(stream)
        length = (max(x + w for x, _, w, _ in pieces) - min(x for x, _, _, _ in pieces)) * POINT_MM
        assert len(pieces) == 10
        assert length == pytest.approx(100.0, rel=5e-3)
        scale = stated_scale(figure)
        low = min(y for _, y, _, _ in pieces)
        figures = [(0.5 * (x0 + x1), text) for text, (x0, y0, x1, _) in words(figure) if low < y0 < low + 12.0 and re.fullmatch(r"[\d.]+", text)]  # fmt: skip
        left = min(x for x, _, _, _ in pieces)
        figures = [(x, text) for x, text in figures if x < left + 300.0]
        assert len(figures) == 3
        for x, text in figures:
            assert (x - left) * POINT_MM == pytest.approx(
                float(text) * scale, abs=0.5
            )  # a figure stands over its place


def scale_pieces(stream: str) -> list[tuple[float, float, float, float]]:
    """Rectangles of 10 by 1.6 mm."""
    return [r for r in pdf_rectangles(stream) if abs(r[2] * POINT_MM - 10.0) < 0.5 and abs(r[3] * POINT_MM - 1.6) < 0.1]


@pytest.mark.parametrize("name", ["hall-ten", "printed-28"])
def test_the_blade_is_full_size_in_the_printed_file(name: str, tmp_path: Path) -> None:
    """Both long edges of the blade, as lines in the PDF, have its length and lie a chord apart."""
    save_pdf([page(name, "Outlines to cut by")], tmp_path / "sheet.pdf", name)
    rotor = craft(name).rotor
    assert stated_scale(page(name, "Outlines to cut by")) == 1.0
    found = set()
    for stream in pdf_streams(tmp_path / "sheet.pdf"):
        for line in pdf_lines(stream):
            (x0, y0), (x1, y1) = line[0], line[-1]
            if abs(y0 - y1) < 0.01 and abs(abs(x1 - x0) * POINT_MM / (rotor.radius_mm - rotor.root_mm) - 1.0) < 5e-3:
                found.add(round(y0 * POINT_MM, 3))
    apart = [b - a for a in found for b in found if b > a]
    assert any(abs(each / rotor.chord_mm - 1.0) < 5e-3 for each in apart)


def test_what_is_drawn_stands_where_the_craft_file_says() -> None:
    """Boom and nose rod in the side view: distances on paper over the stated scale are those of the file."""
    one, figure = craft("hall-ten"), page("hall-ten", "Side view")
    scale = stated_scale(figure)
    corners = [patch.get_xy()[:4] for patch in figure.axes[0].findobj(Polygon) if len(patch.get_xy()) == 5]
    lengths = sorted(max(c[:, 0].max() - c[:, 0].min(), c[:, 1].max() - c[:, 1].min()) / scale for c in corners)
    for name in ("boom", "nose rod", "stick"):
        part = next(part for part in one.part if part.name == name)
        wanted = max(abs(a - b) for a, b in zip(part.from_mm, part.to_mm, strict=True))  # type: ignore[union-attr]
        assert min(abs(length - wanted) for length in lengths) < 1e-6 * wanted, name


def texts(name: str) -> str:
    return "\n".join(text for figure in sheet(name) for text, _ in words(figure))


@pytest.mark.parametrize("name", ["hall-ten", "printed-28"])
def test_every_item_is_numbered_and_listed(name: str) -> None:
    listed = texts(name)
    for number, item in enumerate(weights_g(craft(name)), start=1):
        assert item.removeprefix("part ") in listed
        assert any(text == str(number) for text, _ in words(page(name, "Side view"))), item


def test_the_places_of_the_parts_stand_in_the_side_view() -> None:
    side = {text for text, _ in words(page("hall-ten", "Side view"))}
    assert {
        "-248",
        "170",
        "-226",
        "-75",
        "-262",
        "-100",
        "-218",
        "tail arm 248",
        "rotor 400 across",
        "hooks 196",
    } <= side


def test_pulleys_and_settings_stand_on_the_sheet() -> None:
    flat = " ".join(texts("hall-ten").split())
    for each in ("23 mm", "5 mm", "4.60 times", "energy 6 kJ/kg", "loss 30 %", "585 turns"):
        assert each in flat, each


@pytest.mark.parametrize("name", CASES)
def test_the_cautions_stand_on_the_sheet(name: str) -> None:
    flat = " ".join(texts(name).split())
    for caution in CAUTIONS:
        assert caution in flat


def test_a_line_of_the_table_of_flights_typed_in_is_what_match_reads(tmp_path: Path) -> None:
    assert list(MEANS) == list(RECORD)
    assert set(RECORD) <= {text for text, _ in words(page("hall-ten", "Flights"))}
    typed = dict.fromkeys(RECORD, "1") | {
        "turns": "289",
        "change": "craft.bar.tip_mass_g=0.5",
        "remarks": "leaned left",
    }
    (tmp_path / "flights.csv").write_text(f"{','.join(RECORD)}\n{','.join(typed.values())}\n", encoding="utf-8")
    (row,) = read_flight_record(tmp_path / "flights.csv").rows
    assert row.changes == {"craft.bar.tip_mass_g": 0.5, "skein.turns": 289.0, "skein.backed_off": 1.0}
    measured = {"duration_s", "peak_height_m", "body_turns", "rotor_rpm", "turns_left"}
    assert {reading.quantity for reading in row.readings} == measured


def test_a_skein_by_what_a_metre_weighs_has_its_sheet() -> None:
    text = HALL.read_text(encoding="utf-8").replace("width_mm = 2.15\nthickness_mm = 1.0\nlength_mm = 210", "linear_density_g_m = 1.9995\nlength_mm = 210")  # fmt: skip
    flat = " ".join(text for figure in draw_sheet(parse_craft(text)) for text, _ in words(figure))
    assert "Skein: 6 strands, 210 mm long made up, 2.52 g." in flat


def test_a_missing_tail_or_bar_leaves_its_pages_out() -> None:
    flat = texts("neither tail nor bar")
    assert "Bar" not in [str(figure.get_label()).split(": ")[-1] for figure in sheet("neither tail nor bar")]
    assert "pulley" not in flat
    assert "tail rotor" not in flat
    assert "tail pushes" not in flat
    assert "arm 1" not in flat


def test_a_long_blade_is_cut_into_pieces_that_add_up() -> None:
    found = re.findall(r"([\d.]+): from ([\d.]+) to ([\d.]+) out from the shaft", texts("large"))
    pieces = [(float(a), float(b), float(c)) for a, b, c in found]
    assert len(pieces) > 1
    assert (pieces[0][1], pieces[-1][2]) == (25.0, 900.0)
    assert all(length == pytest.approx(last - first, abs=0.11) for length, first, last in pieces)  # each rounded to 0.1
    assert all(before[2] == after[1] for before, after in zip(pieces, pieces[1:], strict=False))


def test_the_same_craft_gives_the_same_bytes(tmp_path: Path) -> None:
    for file in ("a.pdf", "b.pdf"):
        save_sheet(craft("neither tail nor bar"), tmp_path / file)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    assert b"CreationDate" not in (tmp_path / "a.pdf").read_bytes()


def test_png_pages_on_request(tmp_path: Path) -> None:
    files = save_sheet(craft("neither tail nor bar"), tmp_path / "s.png", dpi=30)
    assert [file.name for file in files] == [f"s-{k}.png" for k in range(1, len(sheet("neither tail nor bar")) + 1)]
    assert sorted(tmp_path.iterdir()) == sorted(files)
    assert all(file.stat().st_size > 1000 for file in files)


def test_a_folder_is_no_sheet(tmp_path):
    from paddlebar import BadInput
    from paddlebar.sheet.book import check_sheet

    (tmp_path / "sheet.pdf").mkdir()
    with pytest.raises(BadInput, match="is a folder, a file was expected"):
        check_sheet(tmp_path / "sheet.pdf")
    with pytest.raises(BadInput, match=r"ends in \.pdf or \.png, found"):
        check_sheet(tmp_path / "sheet.txt")
    assert check_sheet(str(tmp_path / "other.PDF")) == tmp_path / "other.PDF"
