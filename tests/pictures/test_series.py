"""What a picture shows can be had as numbers, and they are the flight's own."""

from __future__ import annotations

import csv

import numpy as np
import pytest

from paddlebar.pictures import style
from paddlebar.pictures.data import RPM
from paddlebar.pictures.flight import PICTURES, draw_height, save_pictures
from paddlebar.pictures.saving import save
from paddlebar.pictures.series import HEAD, series, write_series


def read(path):
    """Remarks, and panel and series -> (n, 2)."""
    lines = path.read_text(encoding="utf-8").splitlines()
    remarks = [line for line in lines if line.startswith("#")]
    rows = list(csv.reader(line for line in lines if not line.startswith("#")))
    assert tuple(rows[0]) == HEAD
    found: dict[tuple[int, str], list[list[float]]] = {}
    for panel, name, x, y in rows[1:]:
        found.setdefault((int(panel), name), []).append([float(x), float(y)])
    return remarks, {key: np.array(points) for key, points in found.items()}


def test_the_table_beside_the_picture_holds_the_arrays_of_the_flight_bit_for_bit(flight, tmp_path):
    paths = save_pictures(flight, tmp_path, ["height"], data=True)
    assert [path.name for path in paths] == ["height.png", "height.csv"]
    remarks, found = read(paths[1])
    panels = (flight.height, np.degrees(flight.tilt), flight.rotor_speed * RPM, flight.skein_torque * 1e3)
    words = ("height of CG [m]", "tilt of body [deg]", "rotor speed [rpm]", "skein torque [mN m]")
    assert (1, "height of CG") in found
    for number, (values, label) in enumerate(zip(panels, words, strict=True), start=1):
        (points,) = [each for (panel, _), each in found.items() if panel == number]
        np.testing.assert_array_equal(points, np.column_stack([flight.time, values]))
        assert f"# panel {number}: x = time from the launch [s]; y = {label}" in remarks
    assert remarks[0].startswith("# Height, tilt, rotor speed")


def test_no_table_is_written_unasked(flight, tmp_path):
    assert [path.name for path in save_pictures(flight, tmp_path, ["height"])] == ["height.png"]
    assert [path.name for path in tmp_path.iterdir()] == ["height.png"]


@pytest.mark.parametrize("name", PICTURES)
def test_every_picture_of_a_flight_has_numbers_with_units(flight, name):
    found = series(PICTURES[name](flight))
    assert found
    assert all("[" in each.y_label for each in found)
    assert all(each.x.shape == each.y.shape and each.x.size for each in found)


def test_guide_lines_and_marks_of_events_are_no_data(flight):
    heights = [each for each in series(draw_height(flight)) if each.panel == 1]
    assert [each.x.size for each in heights] == [flight.time.size]


def test_bars_bands_and_fields_of_points_are_told_too(tmp_path):
    figure = style.sheet(3.0, title="x", alt="a\nb")
    ax = figure.add_axes((0.1, 0.1, 0.8, 0.8))
    ax.barh([0.0], [2.0], left=1.0, height=0.5, label="bar")
    ax.fill_between([0.0, 1.0], [0.0, 0.0], [3.0, 4.0], label="band")
    ax.scatter([5.0], [6.0], label="dots, all")
    ax.plot([0.0, 1.0], [np.nan, 2.0], label="broken")
    ax.axhline(1.0)
    ax.set_yticks([0.0], ["bar.gain"])
    (path,) = [each for each in save({"p": figure}, tmp_path, data=True) if each.suffix == ".csv"]
    remarks, found = read(path)
    assert {tuple(point) for point in found[1, "dots, all"]} == {(5.0, 6.0)}
    assert found[1, "band"][:, 1].max() == 4.0
    assert np.isnan(found[1, "broken"][0, 1])
    assert any(
        (points.min(0) == (1.0, -0.25)).all() and (points.max(0) == (3.0, 0.25)).all() for points in found.values()
    )
    assert remarks[0] == "# a b"
    assert "# panel 1: y 0 = bar.gain" in remarks


def test_a_figure_without_data_gives_an_empty_table(tmp_path):
    write_series(style.sheet(2.0, title="x", alt="nothing"), tmp_path / "x.csv")
    assert read(tmp_path / "x.csv") == (["# nothing"], {})


def test_areas_of_the_ledger_are_named_and_their_edges_are_its_sums(flight):
    found = {each.name: each for each in series(PICTURES["ledger"](flight))}
    assert {"area: air, by rotor", "area: lost in rubber", "let out by the skein"} <= set(found)
    np.testing.assert_array_equal(found["let out by the skein"].y, flight.ledger["skein"])
    assert not any(name.startswith("_") for name in found)
