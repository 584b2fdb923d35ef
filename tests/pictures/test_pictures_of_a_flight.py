"""Every picture shows the flight's own numbers, in the user's units, with a unit on each axis."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from factories import made_up_flight, made_up_scenario
from paddlebar.flight.result import Event, Flight
from paddlebar.pictures import captions, style
from paddlebar.pictures.flight import PICTURES, draw_height, draw_plan, draw_yaw, save_pictures
from paddlebar.pictures.saving import Look
from paddlebar.record.read import read_run
from paddlebar.record.write import write_run

ALL = sorted(PICTURES)


def axis_labels(figure: Figure) -> list[str]:
    found = [text for ax in figure.axes for text in (ax.get_xlabel(), ax.get_ylabel()) if text]
    assert found
    return found


def drawn(figure: Figure, panel: int) -> list[np.ndarray]:
    """The y data of the panel's long lines."""
    return [np.asarray(line.get_ydata()) for line in figure.axes[panel].lines if np.size(line.get_ydata()) > 10]


@pytest.mark.parametrize("name", ALL)
def test_every_axis_has_its_unit(flight: Flight, name: str) -> None:
    assert all("[" in label and label.rstrip().endswith("]") for label in axis_labels(PICTURES[name](flight)))


@pytest.mark.parametrize("name", ALL)
def test_every_picture_has_a_sentence_to_stand_for_it(flight: Flight, name: str) -> None:
    words = style.alt_text(PICTURES[name](flight))
    assert len(words) > 40
    assert "nan" not in words


@pytest.mark.parametrize("name", ALL)
def test_a_recorded_flight_gives_the_same_picture(flight: Flight, tmp_path: Path, name: str) -> None:
    write_run(tmp_path / "run.h5", [flight])
    (recorded,) = read_run(tmp_path / "run.h5")
    (a,) = save_pictures(flight, tmp_path / "flown", [name], Look(dpi=40))
    (b,) = save_pictures(recorded, tmp_path / "read", [name], Look(dpi=40))
    assert a.read_bytes() == b.read_bytes()


def test_height_shows_the_data_of_the_flight(flight: Flight) -> None:
    figure = draw_height(flight)
    for panel, wanted in enumerate(
        [flight.height, np.degrees(flight.tilt), flight.rotor_speed * 60 / (2 * np.pi), flight.skein_torque * 1000]
    ):
        (shown,) = drawn(figure, panel)
        assert shown == pytest.approx(wanted, rel=1e-12)


def test_yaw_shows_the_data_of_the_flight(flight: Flight) -> None:
    figure = draw_yaw(flight)
    (turned,) = drawn(figure, 0)
    assert turned == pytest.approx((flight.heading - flight.heading[0]) / (2 * np.pi))
    (spin,) = drawn(figure, 1)
    assert np.radians(spin) == pytest.approx(np.gradient(flight.heading, flight.time), abs=0.15)
    unwound, ground = drawn(figure, 2)
    assert unwound == pytest.approx(flight.turns_left[0] - flight.turns_left)
    # Counter-clockwise rotor, body turning left with it: over the ground the rotor turns faster than against the body.
    assert ground[-1] - flight.rotor_azimuth[-1] / (2 * np.pi) == pytest.approx(-turned[-1])
    clockwise = dataclasses.replace(flight, scenario=made_up_scenario(craft__shaft__turns="clockwise"))
    _, ground = drawn(draw_yaw(clockwise), 2)
    assert ground[-1] - flight.rotor_azimuth[-1] / (2 * np.pi) == pytest.approx(turned[-1])
    low, high = figure.axes[3].get_ylim()
    assert (low, high) == pytest.approx(360.0 * np.array(figure.axes[0].get_ylim()))


def test_the_sentence_on_yaw_knows_which_way_the_rotor_drives_the_body(flight: Flight) -> None:
    """Counter-clockwise seen from above drives the nose to the right; the body of this one turns to the left, along with the rotor."""
    flight = dataclasses.replace(flight, heading=4.0 * flight.heading)
    assert "turned along with the rotor" in captions.of_flight("yaw", flight)
    clockwise = dataclasses.replace(flight, scenario=made_up_scenario(craft__shaft__turns="clockwise"))
    assert "turned the body against the rotor" in captions.of_flight("yaw", clockwise)


def test_plan_is_true_to_scale_with_north_up(flight: Flight) -> None:
    figure = draw_plan(flight)
    ax = figure.axes[0]
    path = max(ax.lines, key=lambda line: np.size(line.get_xdata()))
    assert np.array_equal(path.get_xdata(), flight.position_cg[:, 1])
    assert np.array_equal(path.get_ydata(), flight.position_cg[:, 0])
    box = ax.get_position()
    width, height = figure.get_size_inches() * [box.width, box.height]
    metres = np.ptp(ax.get_xlim()) / width, np.ptp(ax.get_ylim()) / height
    assert metres[0] == pytest.approx(metres[1])


@pytest.mark.parametrize(("size", "walls"), [(4.0, True), (60.0, False)])
def test_walls_are_drawn_when_they_are_near(flight: Flight, size: float, walls: bool) -> None:
    room = made_up_scenario(room__length_m=size, room__width_m=size)
    figure = draw_plan(dataclasses.replace(flight, scenario=room))
    words = " ".join(text.get_text() for text in figure.axes[0].texts)
    assert ("outside the view" in words) is not walls


def overlap(figure: Figure, names: set[str]) -> list[tuple[str, str]]:
    """Pairs of the named texts that lie over each other, by the renderer's own boxes."""
    figure.canvas.draw()
    boxes = [
        (text.get_text(), text.get_window_extent())
        for ax in figure.axes
        for text in ax.texts
        if text.get_text() in names
    ]
    assert len(boxes) == len(names)
    return [(a, b) for i, (a, x) in enumerate(boxes) for b, y in boxes[i + 1 :] if x.overlaps(y)]


CROWDS = {
    "spread": [0.5, 3.0, 6.0, 9.0, 12.0],
    "crowded at the start": [0.0, 0.01, 0.02, 0.03],
    "crowded at the end": [11.7, 11.9, 11.95, 12.0],
    "all at once": [6.0] * 5,
}


@pytest.mark.parametrize("crowd", CROWDS)
def test_event_names_never_lie_over_each_other(flight: Flight, crowd: str) -> None:
    events = [Event(f"touched ceiling {k}", t, "") for k, t in enumerate(CROWDS[crowd])]
    figure = draw_height(dataclasses.replace(flight, events=events))
    names = {event.name for event in events}
    assert overlap(figure, names) == []
    inside = figure.bbox
    for text in figure.axes[0].texts:
        box = text.get_window_extent()
        assert box.x1 <= inside.x1
        assert box.y1 <= inside.y1 - 0.3 * figure.dpi  # clear of the title


def test_too_many_events_keep_their_lines_and_say_so(flight: Flight) -> None:
    events = [Event(f"event {k}", 6.0, "") for k in range(40)]
    figure = draw_height(dataclasses.replace(flight, events=events))
    assert any("33 more lines" in text.get_text() for text in figure.axes[0].texts)
    assert figure.get_size_inches()[1] < 9.0


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("kept", [1, 2, 3])
def test_a_flight_of_hardly_any_samples_is_drawn(flight: Flight, name: str, kept: int, tmp_path: Path) -> None:
    cut = {f.name: getattr(flight, f.name)[:kept] for f in dataclasses.fields(flight) if f.name in vars(flight)
           and isinstance(getattr(flight, f.name), np.ndarray)}  # fmt: skip
    short = dataclasses.replace(flight, **cut, ledger={k: v[:kept] for k, v in flight.ledger.items()}, events=[])
    (path,) = save_pictures(short, tmp_path, [name], Look(dpi=30))
    assert path.stat().st_size > 500


@pytest.mark.parametrize("name", ALL)
def test_a_failed_flight_is_drawn_as_far_as_it_went(flight: Flight, name: str) -> None:
    height, attitude = flight.height.copy(), flight.attitude.copy()
    height[-1], attitude[-3:] = np.nan, np.nan
    words = style.alt_text(
        PICTURES[name](dataclasses.replace(flight, height=height, attitude=attitude, complete=False))
    )
    assert "nan" not in words


def test_nothing_finite_is_said_so(flight: Flight) -> None:
    with pytest.raises(ValueError, match="no finite sample"):
        draw_height(dataclasses.replace(flight, height=np.full_like(flight.height, np.nan)))


def test_saving_names_the_files_after_the_pictures(flight: Flight, tmp_path: Path) -> None:
    paths = save_pictures(flight, tmp_path / "new" / "folder", ["plan", "height"], Look(dpi=40))
    assert [path.name for path in paths] == ["plan.png", "height.png"]
    with Image.open(paths[1]) as image:
        assert image.info["Description"].startswith("Height, tilt")
    with pytest.raises(KeyError):
        save_pictures(flight, tmp_path / "none", ["hight"])
    assert not (tmp_path / "none").exists()


def test_no_global_state_is_touched() -> None:
    code = (
        "import sys; sys.path[:0] = sys.argv[1:]\n"
        "from factories import made_up_flight\n"
        "from paddlebar.pictures.flight import PICTURES\n"
        "PICTURES['height'](made_up_flight(duration=0.2))\n"
        "print(sorted({'matplotlib.pyplot', 'h5py', 'numba', 'scipy'} & set(sys.modules)))"
    )
    root = Path(__file__).parents[2]
    call = [sys.executable, "-c", code, str(root / "tests"), str(root / "sim")]
    assert subprocess.run(call, capture_output=True, text=True, check=True).stdout.strip() == "[]"


def test_made_up_flights_are_repeatable() -> None:
    assert np.array_equal(made_up_flight().bar_angle, made_up_flight().bar_angle)
