"""A film of one flight, or of two side by side, for those who want a file: craft, disc and bar in line, and two strip charts."""

from __future__ import annotations

import errno
import logging
import subprocess
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import numpy as np
from matplotlib import animation
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.pictures import style
from paddlebar.pictures.data import drawable
from paddlebar.progress import SILENT, Progress
from paddlebar.replay_page.data import columns_of
from paddlebar.replay_page.runs import AnyFlight
from paddlebar.replay_page.shape import scenario_of
from paddlebar.replay_page.wire import Wires, wires
from paddlebar.units import to_si

Array = NDArray[np.float64]

SUFFIXES: Final = (".mp4", ".gif")
FPS: Final = {".mp4": 25, ".gif": 20}
DPI: Final = {".mp4": 110, ".gif": 75}
MOST_FRAMES: Final = 6000
LINES: Final[dict[str, dict[str, Any]]] = {
    "body": {"color": style.INK, "linewidth": 1.4},
    "blade 1": {"color": style.ROSE, "linewidth": 1.4},
    "blades": {"color": style.INK, "linewidth": 1.2},
    "bar": {"color": style.WINE, "linewidth": 2.0, "marker": "o", "markersize": 4},
    "disc plane": {"color": style.TEAL, "linewidth": 1.3},
    "bar plane": {"color": style.WINE, "linewidth": 1.3, "linestyle": (0, (6, 3))},
    "horizon": {"color": style.EVENT, "linewidth": 1.2, "linestyle": (0, (1, 1.5))},
    "tail": {"color": style.INK, "linewidth": 1.0},
}


def check_film(path: Path) -> None:
    """Raises BadInput for a film that cannot be made: another kind of file, or an mp4 without ffmpeg."""
    if path.suffix.lower() not in SUFFIXES:
        raise BadInput(f"path: should end in .mp4 or .gif, found {path.name!r}")
    if path.suffix.lower() == ".mp4" and not animation.FFMpegWriter.isAvailable():
        raise BadInput(
            "path: an mp4 needs ffmpeg, which is not installed here; a name that ends in .gif needs nothing more"
        )


def film_times(first: float, last: float, speed: float, fps: int) -> Array:
    """Times of the frames [s].

    first, last : of the flight [s];  speed : 1 real time, 0.1 ten times slower
    Raises      : BadInput for more frames than MOST_FRAMES
    """
    count = int((last - first) / speed * fps + 1e-6) + 1
    if count > MOST_FRAMES:
        raise BadInput(
            f"speed: {count} pictures, at most {MOST_FRAMES} go into a film; choose a shorter stretch, or a higher speed"
        )
    return np.asarray(first + np.arange(count) * speed / fps, dtype=np.float64)


def save_film(
    flights: Sequence[AnyFlight],
    names: Sequence[str],
    path: Path,
    *,
    speed: float = 1.0,
    first: float = 0.0,
    last: float = np.inf,
    progress: Progress = SILENT,
) -> None:
    """Write a film of the flights' stretch from ``first`` to ``last`` [s].

    names : what errors call the files;  speed : 1 real time, 0.1 ten times slower;  progress : told the number of pictures, and each
    Raises: BadInput (see check_film, film_times, and a stretch that is not in the flight), NotARunFile, OSError
    """
    check_film(path)
    suffix = path.suffix.lower()
    scenes, times = staged(flights, names, FPS[suffix], speed, first, last)
    writer: animation.AbstractMovieWriter
    if suffix == ".mp4":
        writer = animation.FFMpegWriter(
            fps=FPS[suffix], metadata={"title": scenes[0].title}, extra_args=["-pix_fmt", "yuv420p"]
        )
    else:
        writer = animation.PillowWriter(fps=FPS[suffix])
    figure, update = draw(scenes, times, speed)
    progress.start(times.size)
    with _told_plainly(path), writer.saving(figure, str(path), DPI[suffix]):
        for k in range(times.size):
            update(k)
            writer.grab_frame()
            progress.step("drawing the film")


def animated(
    flights: Sequence[AnyFlight], names: Sequence[str], *, fps: int, speed: float, first: float, last: float
) -> animation.FuncAnimation:
    """The same to be played by matplotlib, see save_film."""
    scenes, times = staged(flights, names, fps, speed, first, last)
    figure, update = draw(scenes, times, speed)

    def show(k: int) -> list[Any]:
        update(k)
        return []

    return animation.FuncAnimation(figure, show, frames=int(times.size), interval=1000.0 / fps)


def staged(
    flights: Sequence[AnyFlight], names: Sequence[str], fps: int, speed: float, first: float, last: float
) -> tuple[list[Scene], Array]:
    """The flights at the times of the pictures, and these times [s]; see save_film."""
    fine = [drawable(flight) for flight in flights]
    end = min(last, max(float(flight.time[-1]) for flight in fine))
    if not end > first >= 0.0:
        raise BadInput(f"start, stop: the flight lasts {end:.2f} s, there is nothing from {first:g} s on")
    times = film_times(first, end, speed, fps)
    scenes = []
    for flight, name in zip(fine, names, strict=True):
        scenario = scenario_of(flight, name)
        scenes.append(Scene(flight, scenario.craft, scenario.title or scenario.craft.name, times))
    return scenes, times


@contextmanager
def _told_plainly(path: Path) -> Iterator[None]:
    """What ends ffmpeg, Ctrl-C or a full disk, comes back as just that, not as the exit status of a command of ours."""
    log = logging.getLogger(animation.__name__)
    level = log.level
    log.setLevel(logging.CRITICAL)  # it would print ffmpeg's own words
    try:
        yield
    except (subprocess.CalledProcessError, BrokenPipeError) as error:
        before: BaseException | None = error
        while before is not None:
            if isinstance(before, KeyboardInterrupt):
                raise before from None  # as it came: SIGTERM has a number of its own
            before = before.__context__
        raise OSError(errno.EIO, "ffmpeg gave up; a name that ends in .gif does without it", str(path)) from error
    finally:
        log.setLevel(level)


class Scene:
    """One flight at the times of the film."""

    def __init__(self, flight: AnyFlight, craft: Craft, title: str, times: Array) -> None:
        self.flight, self.title = flight, title
        self.outcome = flight.outcome
        self.radius = to_si("radius_mm", craft.rotor.radius_mm)
        self.last = float(flight.time[-1])
        at = np.clip(times, flight.time[0], self.last)
        self.wires: Wires = wires(craft, columns_of(flight, craft), at)
        self.tilt = np.degrees(np.interp(at, flight.time, flight.tilt))
        self.height = np.interp(at, flight.time, flight.height)


def draw(scenes: Sequence[Scene], times: Array, speed: float) -> tuple[Figure, Callable[[int], None]]:
    """The figure, and what puts it to picture k."""
    title = " beside ".join(scene.title for scene in scenes)
    figure = style.sheet(5.4, width_in=8.0, title=title, alt=f"Film of {title}.")
    figure.text(
        0.0125,
        0.925,
        "green: blade disc   dashed: plane of the bar   dotted: horizon",
        size=style.SMALL_SIZE,
        color=style.INK,
    )
    n = len(scenes)
    moving = []
    for i, scene in enumerate(scenes):
        ax: Any = figure.add_axes((i / n, 0.28, 1.0 / n, 0.64), projection="3d")
        name = f"{'AB'[i]}, {('drawn line', 'dashed line')[i]} below: " if n > 1 else ""
        moving.append(_stage(ax, scene, name))
    charts = list(_charts(figure, scenes, times))
    stamp = figure.text(0.985, 0.975, "", ha="right", va="top", size=style.LABEL_SIZE, color=style.INK)
    slow = "" if speed == 1.0 else f", {speed:g} of real time"

    def update(k: int) -> None:
        for change in moving:
            change(k)
        for cursor in charts:
            cursor.set_xdata([times[k], times[k]])
        stamp.set_text(f"{times[k]:.2f} s{slow}")

    return figure, update


def _stage(ax: Any, scene: Scene, name: str) -> Callable[[int], None]:
    """Lines of one craft in a box that goes along with it; north away to the left, up is up."""
    half = 1.3 * scene.radius
    ax.set_axis_off()
    ax.set_box_aspect((1, 1, 1), zoom=1.5)
    ax.view_init(elev=14, azim=-70)
    ax.set_xlim(-half, half)
    ax.set_ylim(-half, half)
    ax.set_zlim(-1.2 * half, 0.8 * half)
    lines = {kind: [ax.plot([], [], [], **LINES[kind])[0] for _ in parts] for kind, parts in scene.wires.parts.items()}
    reading = ax.text2D(0.5, 0.0, "", transform=ax.transAxes, ha="center", size=style.SMALL_SIZE, color=style.INK)

    def change(k: int) -> None:
        hub = scene.wires.hub[k]
        for kind, parts in scene.wires.parts.items():
            for line, part in zip(lines[kind], parts, strict=True):
                north, east, down = (part[k] - hub).T
                line.set_data_3d(east, north, -down)
        words = f"{name}height {scene.height[k]:.2f} m, tilt {scene.tilt[k]:.0f} deg"
        reading.set_text(words if scene.wires.times[k] < scene.last else f"{words}: {scene.outcome}")

    return change


def _charts(figure: Figure, scenes: Sequence[Scene], times: Array) -> Iterator[Any]:
    """Tilt and bar over the stretch that is shown; yields the cursors."""
    for place, key, name in ((0.07, "tilt", "tilt of body [deg]"), (0.57, "bar_angle", "bar to hub [deg]")):
        ax: Axes = figure.add_axes((place, 0.085, 0.41, 0.17))
        style.dress(ax)
        for scene, look in zip(scenes, style.LINES, strict=False):
            ax.plot(scene.flight.time, np.degrees(getattr(scene.flight, key)), **{**look, "linewidth": 0.8})
        ax.set_xlim(float(times[0]), max(float(times[-1]), float(times[0]) + 1e-3))
        style.label(ax, x="time from the launch [s]", y=name)
        yield ax.axvline(float(times[0]), color=style.INK, linewidth=1.2)
