"""Section files: what the loader fills in, and one clear line for each way of being wrong."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.craft import section_rows
from paddlebar.craft.plate import plate
from paddlebar.craft.sections import ALPHA_NODES_DEG, DATA, RE_NODES, SECTIONS, section_table, zero_lift_angle
from paddlebar.errors import BadInput
from paddlebar.physics.section import N_ALPHA, N_RE

GOOD = "alpha_deg,cl,cd\n-6,-0.4,0.06\n-2,0,0.03\n0,0.2,0.03\n4,0.6,0.04\n8,0.9,0.07\n10,0.95,0.1\n"


@pytest.fixture
def polar(tmp_path):
    def write(text: str):
        path = tmp_path / "own.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize("name", SECTIONS)
def test_shape_wrap_and_finiteness(name):
    table = section_table(name)
    assert table.shape == (N_RE, N_ALPHA, 3)
    assert table.dtype == np.float64
    assert np.isfinite(table).all()
    assert np.array_equal(table[:, 0], table[:, 360])
    assert np.array_equal(table[:, 1], table[:, 361])
    assert np.array_equal(table[:, 2], table[:, 362])


@pytest.mark.parametrize("name", SECTIONS)
def test_no_jumps(name):
    """One degree changes cl by at most 0.2, cd by 0.04, cm by 0.06, and the slope by half of that: attached flow has
    0.11 a degree; the surrogate's flips between laminar and reattached flow, averaged, are the steepest."""
    step = np.diff(section_table(name), axis=1)
    assert (np.abs(step).max(axis=(0, 1)) < [0.2, 0.04, 0.06]).all()
    assert (np.abs(np.diff(step, axis=1)).max(axis=(0, 1)) < [0.1, 0.02, 0.03]).all()


@pytest.mark.parametrize("name", [name for name, row in SECTIONS.items() if row.rounded])
def test_rounded_plates_have_no_jumps_but_their_stall(name):
    """As above; where the measured lift breaks down, from 13 to 16 deg, drag rises by 0.09 a degree and lift falls by 0.1."""
    table = section_table(name, "rounded")
    assert table.shape == (N_RE, N_ALPHA, 3)
    assert np.isfinite(table).all()
    step = np.abs(np.diff(table, axis=1))
    stall = (ALPHA_NODES_DEG[:-1] > 10.0) & (ALPHA_NODES_DEG[:-1] < 18.0)
    assert (step[:, ~stall].max(axis=(0, 1)) < [0.2, 0.05, 0.06]).all()
    assert (step[:, stall].max(axis=(0, 1)) < [0.15, 0.1, 0.06]).all()


def test_a_nose_that_makes_no_difference(polar):
    """The flat plate, the aerofoil and a file of one's own are the same either way."""
    for name in ("flat plate", "thin aerofoil", polar(GOOD)):
        assert section_table(name, "rounded") is section_table(name, "sharp")


@pytest.mark.parametrize("name", SECTIONS)
def test_every_row_has_file_and_shares(name):
    row = SECTIONS[name]
    assert (DATA / row.file).is_file()
    assert 0.0 < row.thickness < 0.15
    assert 0.0 <= row.camber < 0.1
    assert row.source


def test_own_polar_is_kept_where_it_is_given(polar):
    table = section_table(polar(GOOD))
    for alpha, cl, cd in ((-6, -0.4, 0.06), (0, 0.2, 0.03), (4, 0.6, 0.04), (10, 0.95, 0.1)):
        i = int(alpha + 181)
        assert table[3, i, :2] == pytest.approx([cl, cd], abs=1e-12)
    assert np.array_equal(table[0], table[-1])


def test_own_polar_ends_in_the_flat_plate(polar):
    """From 20 deg beyond the last row on, only the plate is left (at the Re of the file, 2e4 if it gives none)."""
    table = section_table(polar(GOOD))
    far = (ALPHA_NODES_DEG >= 31) & (ALPHA_NODES_DEG <= 150)
    assert np.abs(table[5, far] - plate(np.radians(ALPHA_NODES_DEG[far]), 2e4)).max() < 1e-12


def test_own_polar_joins_without_a_jump(polar):
    """The steepest part is its own 0.1 a degree; the joint adds no more than as much again."""
    table = section_table(polar(GOOD))[4]
    assert np.abs(np.diff(table[:, 0])).max() < 0.2
    assert np.abs(np.diff(table[:, 0], 2)).max() < 0.1
    assert np.array_equal(table[1], table[361])
    assert table[:, 1].min() > 0.0


def test_missing_moment_comes_from_the_plate(polar):
    """At 8 deg: x/c = 0.5 - 0.75 cos/(4 + pi sin) = 0.33262, cn = 0.9 cos + 0.07 sin = 0.90098, cm = -0.07443."""
    assert section_table(polar(GOOD))[0, 189, 2] == pytest.approx(-0.07443, abs=1e-4)


def test_reynolds_numbers_are_interpolated_in_the_logarithm_and_held(polar):
    rows = [f"{a},{0.1 * a * s},{0.03 / s},{re},0" for re, s in ((8000, 1.0), (32000, 2.0)) for a in (-8, -4, 0, 4, 8)]
    table = section_table(polar("alpha_deg,cl,cd,Re,cm\n" + "\n".join(rows)))
    lift = table[:, 185, 0]
    assert lift[RE_NODES <= 8001] == pytest.approx(0.4, abs=1e-9)
    assert lift[np.isclose(RE_NODES, 16000)] == pytest.approx(0.6, abs=1e-9)
    assert lift[RE_NODES >= 31999] == pytest.approx(0.8, abs=1e-9)


def test_columns_in_any_order_with_comments_and_blank_lines(polar):
    path = polar("# mine\n\ncd,note,alpha_deg,cl\n0.03,1,-2,0\n# half way\n0.03,1,0,0.2\n0.04,1,4,0.6\n")
    assert section_table(path)[0, 181, 0] == pytest.approx(0.2)


def test_all_round_polar_is_kept_and_closed(polar):
    """Ends that differ by 0.2 in lift are closed within the last ten degrees, half from each side."""
    angles = np.arange(-180, 181, 5)
    rows = [f"{a},{math.sin(2 * math.radians(a)) + (0.2 if a == 180 else 0):.9f},0.5,0" for a in angles]
    table = section_table(polar("alpha_deg,cl,cd,cm\n" + "\n".join(rows)))[0]
    assert table[1, 0] == pytest.approx(0.1, abs=1e-9)
    assert np.array_equal(table[1], table[361])
    assert table[181 + 45, 0] == pytest.approx(1.0, abs=1e-9)


def test_zero_lift_angle_of_a_line(polar):
    assert math.degrees(zero_lift_angle(section_table(polar(GOOD)))) == pytest.approx(-2.0, abs=1e-6)
    always = "alpha_deg,cl,cd\n-180,1,1\n0,1,1\n180,1,1\n"
    assert zero_lift_angle(section_table(polar(always))) == 0.0


WRONG = [
    ("alpha_deg,cl\n0,0\n", ":1: cd: column is missing"),
    ("alpha_deg,cl,cd\n0,0,0.1\n1,nan,0.1\n2,0,0.1\n", ":3: cl: should be a finite number, found nan"),
    ("alpha_deg,cl,cd\n0,0,0.1\n1,,0.1\n2,0,0.1\n", ":3: cl: should be a finite number, found nothing"),
    ("alpha_deg,cl,cd\n0,0,0.1\n1,x,0.1\n2,0,0.1\n", ":3: cl: should be a finite number, found x"),
    ("alpha_deg,cl,cd\n0,0,0.1\n2,0,0.1\n2,0,0.1\n", ":4: alpha_deg: should rise from row to row, after 2, found 2"),
    ("alpha_deg,cl,cd\n0,0,0.1\n2,0,0.1\n", ":3: rows: should be at least 3"),
    ("alpha_deg,cl,cd\n", ":1: rows: should be at least 3, found 0"),
    ("", ":1: alpha_deg: column is missing, found nothing"),
    ("alpha_deg,cl,cd\n0,0,0.1\n1,0,-0.1\n2,0,0.1\n", ":3: cd: should be at least 0, found -0.1"),
    ("alpha_deg,cl,cd\n0,0,0.1\n1,0,0.1\n200,0,0.1\n", ":4: alpha_deg: should be -180 to 180, found 200"),
    ("alpha_deg,cl,cd,Re\n0,0,0.1,0\n", ":2: Re: should be more than 0, found 0"),
    ("alpha_deg,cl,cd\n0,0,0.1\n1,0\n", ":3: row: should have 3 cells, found 2"),
    (
        "alpha_deg,cl,cd,Re\n0,0,.1,1e4\n1,0,.1,1e4\n2,0,.1,1e4\n0,0,.1,2e4\n",
        ":5: rows: should be at least 3 at Re 20000",
    ),
]


@pytest.mark.parametrize(("text", "line"), WRONG)
def test_a_wrong_file_gives_one_line(polar, text, line):
    path = polar(text)
    with pytest.raises(BadInput) as caught:
        section_table(path)
    said = str(caught.value)
    assert "\n" not in said
    assert said.startswith(f"{path}{line}")


def test_no_such_file_names_the_sections(tmp_path):
    with pytest.raises(
        BadInput,
        match="'cambered plate', 'shallow cambered plate', 'flat plate', 'thin aerofoil' or a readable CSV file",
    ):
        section_table(tmp_path / "none.csv")


def test_not_a_text_file(tmp_path):
    path = tmp_path / "x.csv"
    path.write_bytes(b"\xff\xfe\x00\x81")
    with pytest.raises(BadInput, match="is not UTF-8 text"):
        section_table(path)


@pytest.mark.parametrize("columns", [3, 4, 5])
def test_rows_in_a_description_are_the_file_with_these_rows(tmp_path, columns):
    """With and without Reynolds number and moment."""
    from paddlebar.craft.section_rows import COLUMNS

    angle = np.arange(-10.0, 15.0)
    whole = [
        np.stack(
            [angle, 0.1 * angle + 0.2, 0.02 + 5e-4 * angle**2, np.full_like(angle, re), -0.01 * angle / re * 1e4], 1
        )
        for re in ((2e4,) if columns == 3 else (1e4, 4e4))
    ]
    rows = np.concatenate(whole)[:, :columns]
    lines = [",".join(COLUMNS[:columns]), *(",".join(map(repr, row)) for row in rows.tolist())]
    (tmp_path / "own.csv").write_text("\n".join(lines), encoding="utf-8")
    given = tuple(map(tuple, rows.tolist()))
    assert np.array_equal(section_table(given), section_table(tmp_path / "own.csv"))
    assert section_table(given) is section_table(given)


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        (
            ((0.0, 0.1, 0.02), (1.0, 0.2, -0.1), (2.0, 0.3, 0.02)),
            "section: row 2: cd: should be at least 0, found -0.1",
        ),
        (((0.0, 0.1, 0.02), (0.0, 0.2, 0.02)), "section: row 2: alpha_deg: should rise from row to row"),
        (((0.0, 0.1, 0.02), (1.0, 0.2, 0.02)), "section: row 2: rows: should be at least 3"),
        ((), "section: row 0: rows: should be at least 3, found 0"),
    ],
)
def test_rows_that_are_no_section_are_refused(rows, says):
    with pytest.raises(BadInput) as caught:
        section_table(rows)
    assert str(caught.value).startswith(says)


@pytest.mark.parametrize("path", sorted(DATA.glob("*.csv")), ids=lambda path: path.stem)
def test_a_table_of_ours_is_read_as_anybodys(path):
    """Without a look at each row, as it is read at every start; the rows are looked at here."""
    soon, checked = section_rows.own_table(path), section_rows.read_table(path, section_rows.lines_of(path))
    assert list(soon) == sorted(checked)
    for re, rows in checked.items():
        np.testing.assert_array_equal(soon[re], rows)
