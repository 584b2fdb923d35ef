"""Verbs as functions: one page shows the whole flow of data. The studies' functions stand in their rooms, see the table in __init__.py."""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any, overload

from paddlebar.craft.clear import check_clear
from paddlebar.craft.limits import check_limits
from paddlebar.errors import BadInput
from paddlebar.files import load
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.result import Flight
from paddlebar.progress import SILENT, Progress, closes_progress

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from matplotlib.animation import FuncAnimation

    from paddlebar.checks.check import Check
    from paddlebar.checks.skein_test import SkeinTest
    from paddlebar.ensemble.many import Brief, Flights
    from paddlebar.ensemble.samples import Item
    from paddlebar.flight.own import Given
    from paddlebar.replay_page.runs import AnyFlight, Source
    from paddlebar.stability.linear import Kind, Linear
    from paddlebar.stability.locus import RootLocus
    from paddlebar.stability.result import Margins
    from paddlebar.studies.kept_flights import KeptFlights
    from paddlebar.whirl_stand import StandPoint


def load_craft(path: str | PathLike[str], overrides: Mapping[str, Any] | None = None) -> Craft:
    """Read and check a craft file.

    path      : craft file (TOML)
    overrides : dotted keys of the craft file -> values, "bar.gain": -0.5
    Returns   : Craft, frozen, values in the units of its keys
    Raises    : BadInput, one line that names file, key, value and rule

    >>> load_craft("hall-ten", {"bar.gain": 0.5}).bar.gain
    0.5
    """
    return check_clear(load.load_craft(path, overrides))


def load_scenario(path: str | PathLike[str], overrides: Mapping[str, Any] | None = None) -> Scenario:
    """Read and check a scenario and its craft.

    path      : scenario file (TOML), or a run file (.h5): what that was flown from
    overrides : dotted keys of the scenario -> values; those of the craft under "craft.", as "craft.bar.gain": -0.5
    Returns   : Scenario, frozen, values in the units of its keys, craft included and changed
    Raises    : BadInput, one line that names file, key, value and rule

    >>> load_scenario("first-flight", {"launch.tilt_deg": 5}).launch.tilt_deg
    5.0
    >>> load_scenario("first-flight", {"launch.tilt_rad": 0.1})
    Traceback (most recent call last):
    ...
    paddlebar.errors.NoSuchKey: overrides: launch.tilt_rad: no such key; did you mean tilt_deg?
    """
    if Path(path).suffix == ".h5":
        from paddlebar.record.again import scenario_of

        scenario = scenario_of(path, overrides)
    else:
        scenario = load.load_scenario(path, overrides)
    check_limits(scenario)
    return scenario


def _pushed(scenario: Scenario, force: Given | None) -> Scenario:
    from paddlebar.flight.own import pushed  # most flights do without

    return pushed(scenario, force)


def fly(scenario: Scenario, force: Given | None = None) -> Flight:
    """Fly a scenario.

    scenario : from load_scenario
    force    : what acts besides: a function f(t, seen, craft) (a force on the fuselage), a Force, a Setting, or several of them; its
        work is the row "own force" of the ledger
    Returns  : Flight: every state and load against time (SI), events, energy ledger, summary; one that failed numerically
        comes back too, with outcome "failed" and complete False
    Raises   : BadInput for turns beyond breaking or parts that strike each other, where only launching shows that the input is
        impossible, and for a force that raises an error or gives no number
    Source   : equations of motion and loads name theirs in physics/, integrator: scipy.integrate.solve_ivp
    """
    check_limits(scenario)
    return fly_scenario(scenario if force is None else _pushed(scenario, force))


@closes_progress
def margins(scenario: Scenario, *, force: Given | None = None, progress: Progress = SILENT) -> Margins:
    """Say whether a bar stabilises its craft or reverses, by how much, and how far it may move.

    scenario : from load_scenario; of its launch only the turns count, the air is still and open
    force    : as fly() takes it; seen at time 0, place 0 and heading 0 whenever a turn of the rotor begins
    progress : told start(steps), step(what), close()
    Returns  : Margins: steady motions and modes along the run-down, verdict against the bar disconnected, margins of gain (factor),
        lead (degrees) and tip mass (grams); what does not exist is nan or None
    Raises   : BadInput where only building the craft shows that the input is impossible
    Source   : Floquet's theory on the one right-hand side, see stability/floquet.py
    """
    from paddlebar.stability.analysis import margins as analyse  # flights do without

    return analyse(_pushed(scenario, force), progress=progress)


def linearise(
    scenario: Scenario, turns: float | None = None, motion: Kind = "flight", *, force: Given | None = None
) -> Linear:
    """Linear models of small disturbances of a steady motion: constant for the means over a turn, and periodic.

    scenario : from load_scenario; the air is still and open, the skein's torque held
    turns    : left in the skein [turns]; None: half of those at launch, where margins() gives its verdict
    motion   : "flight": the steadiest that is found next to the scenario's own flight; "nose held": with the body kept from turning about
        its own down axis; "hover": nose held, at the torque at which it neither climbs nor sinks
    force    : as fly() takes it; seen at time 0, place 0 and heading 0
    Returns  : Linear: A, B, C, D with names and units, A and B at each azimuth, monodromy; to_scipy(), to_control()
    Raises   : BadInput for turns that there are not; CannotTrim where no such motion is found
    Source   : Floquet's theory, see stability/turn_mean.py, still_axes.py
    """
    from paddlebar.stability.linear import linearise as about  # flights do without

    return about(_pushed(scenario, force), turns, motion)


def root_locus(
    scenario: Scenario,
    key: str,
    values: Sequence[float],
    turns: float | None = None,
    motion: Kind = "flight",
    *,
    force: Given | None = None,
) -> RootLocus:
    """How the roots of a steady motion move while a key is changed.

    scenario, turns [turns], motion, force : as linearise() takes them
    key, values : dotted key of the scenario, a craft's under "craft.", and its values [the key's unit], in the order in which they are followed
    Returns     : RootLocus: Floquet's exponents for each value, each root a column; nan where no motion was found
    Raises      : BadInput for a key that is none, or a value out of its limits
    Source      : see stability/floquet.py
    """
    from paddlebar.stability.locus import root_locus as follow  # flights do without

    return follow(_pushed(scenario, force), key, values, turns, motion)


@overload
def fly_many(
    scenarios: Iterable[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    every: int = 0,
    force: Given | None = None,
    file: None = None,
) -> Flights: ...
@overload
def fly_many(
    scenarios: Iterable[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    file: str | PathLike[str],
) -> KeptFlights: ...
@closes_progress
def fly_many(
    scenarios: Iterable[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    every: int = 0,
    force: Given | None = None,
    file: str | PathLike[str] | None = None,
) -> Flights | KeptFlights:
    """Fly many scenarios in compiled steps on all processors; what each came to, not its whole course.

    scenarios : each from load_scenario, or (path or scenario, overrides), which is then read where it flies; samples() draws them
    workers   : processes; None: one a processor, 1: none but this one. The flights are the same, bit for bit, for any number. With an
        executor: how many flights it flies at once
    executor  : any concurrent.futures.Executor to use instead (threads do well too: the steps release Python's lock); it is not shut down
    progress  : told start(flights), step(outcome) for each that is done, close()
    every     : keep time and state at each so-manieth step, 0 not at all
    force     : as fly() takes it, for all of them
    file      : study file (.h5) into which every flight goes as soon as it is done, so that memory does not grow with their number. The
        same call goes on with it after an interruption. The scenario is then read once, here
    Returns   : Flights, arrays in the order asked for; with `file` KeptFlights, which reads from it. A flight that could not be flown has
        outcome "failed"; the others are not touched by it, and of the first a warning (RuntimeWarning) says why. So has one whose process
        ended each time it was tried
    Raises    : BadInput (NoSuchKey) for a key that no description has, before anything is flown; BadInput for a file of other flights, or
        one in use; KeyboardInterrupt on Ctrl-C, when nothing runs any more
    Note      : with several workers a program needs `if __name__ == "__main__":` about its own start, as with any process pool
    Source    : see ensemble/steps.py; tolerance and longest step are the scenario's, its method is not used
    """
    from paddlebar.ensemble.many import fly_all  # one flight does without
    from paddlebar.ensemble.samples import Samples, refuse_unknown_keys

    items = scenarios if isinstance(scenarios, Samples) else list(scenarios)
    warned: list[int] = []

    def warn(index: int, sentence: str) -> None:
        warned.append(index)
        about = f"flight {index} of {len(items)} failed, it may not be the only one: {sentence}"
        warnings.warn(about, RuntimeWarning, stacklevel=3)

    if file is not None:
        from paddlebar.studies.flights import fly_into

        if force is not None:
            raise BadInput("force: a file keeps what can be flown again from it alone; leave out one of both")
        if every:
            raise BadInput("every: the course of flights is not kept in a file; leave out one of both")
        return fly_into(file, items, workers=workers, executor=executor, progress=progress, told=warn)
    refuse_unknown_keys(items)

    def told(index: int, brief: Brief) -> None:
        if brief.outcome == "failed" and not warned:
            warn(index, brief.sentence)

    return fly_all(items, workers=workers, executor=executor, progress=progress, every=every, told=told, force=force)


def stand(craft: Craft, rpm: float | None, collective_deg: float | None = None) -> StandPoint:
    """Turn a craft's rotor on a stand in still air.

    craft          : from load_craft
    rpm            : rotor speed [rev/min]; None: the one at which the rotor lifts the whole craft
    collective_deg : pitch at 75 % radius [deg]; None: the craft's own
    Returns        : StandPoint: thrust, torque, power, CT, CQ, figure of merit, coning, and the tail rotor's
    Raises         : BadInput for a speed or a pitch out of the possible, or a rotor that cannot lift its craft
    Source         : see whirl_stand.py

    >>> point = stand(load_craft("hall-ten"), rpm=400)
    >>> point.thrust_n > 0.05
    True
    """
    from paddlebar.whirl_stand import stand as on_the_stand  # flights do without

    return on_the_stand(craft, rpm, collective_deg)


def check(craft: Craft, turns: float | None = None) -> Check:
    """Look a craft over before it flies: would it balance, would the stick hold, does the cord grip, does anything strike.

    craft   : from load_craft
    turns   : wound [turns]; None: 85 % of those at which the skein breaks
    Returns : Check: weights, balance, strength, drive, shaking, gaps, and findings, worst first, each with what to do
    Raises  : BadInput for turns that are none
    Source  : see checks/: strength.py, weights.py, drive.py, shaking.py, clearance.py, doubts.py
    """
    from paddlebar.checks.check import check as look_over  # flights do without

    return look_over(craft, turns)


def replay(runs: Source | Sequence[Source], path: str | PathLike[str], *, flight: int = 1) -> Path:
    """Write a page on which a flight can be watched in any browser, without a network.

    runs    : a run file, a folder that holds run.h5, or a Flight; or two of them, side by side under one clock
    path    : the page, an HTML file; replaced whole or not at all
    flight  : which flight of a file that holds several, from 1
    Returns : path of the page
    Raises  : BadInput for more than two, a file that is not there or that holds fewer flights; NotARunFile; OSError from the disk
    """
    from paddlebar.replay_page.page import save_page  # flights do without

    flights, names = _chosen(runs, flight)
    save_page(flights, names, Path(path))
    return Path(path)


def film(
    runs: Source | Sequence[Source],
    path: str | PathLike[str],
    *,
    flight: int = 1,
    speed: float = 1.0,
    start: float = 0.0,
    stop: float = math.inf,
    progress: Progress = SILENT,
) -> Path:
    """Write a film of a flight, or of two side by side: craft, blade disc and bar as lines, tilt and bar angle below.

    runs    : a run file, a folder that holds run.h5, or a Flight; or two of them
    path    : film, .gif, or .mp4 where ffmpeg is installed; replaced whole or not at all
    flight  : which flight of a file that holds several, from 1
    speed   : 1 real time, 0.1 ten times slower [1]
    start   : of the stretch shown [s];  stop : its end [s]
    progress : told start(pictures), step(what), close()
    Returns : path of the film
    Raises  : BadInput for another kind of file, an mp4 without ffmpeg, too many pictures or an empty stretch; NotARunFile; OSError
    """
    from tempfile import TemporaryDirectory

    from paddlebar.record.write import put_in_place
    from paddlebar.replay_page.film import save_film  # flights do without

    flights, names = _chosen(runs, flight)
    with TemporaryDirectory() as folder:
        hidden = Path(folder) / Path(path).name
        save_film(flights, names, hidden, speed=speed, first=start, last=stop, progress=progress)
        put_in_place(Path(path), hidden.read_bytes())
    return Path(path)


def animate(
    runs: Source | Sequence[Source],
    *,
    flight: int = 1,
    speed: float = 1.0,
    start: float = 0.0,
    stop: float = math.inf,
    fps: int = 20,
) -> FuncAnimation:
    """The same film to be played in a notebook: ``IPython.display.HTML(animate(run).to_jshtml())``.

    runs    : a run file, a folder that holds run.h5, or a Flight; or two of them
    flight  : which flight of a file that holds several, from 1
    speed   : 1 real time, 0.1 ten times slower [1]
    start   : of the stretch shown [s];  stop : its end [s]
    fps     : pictures a second [1/s]
    Returns : matplotlib's FuncAnimation, which makes the pictures when it is shown or saved
    Raises  : BadInput for too many pictures or an empty stretch; NotARunFile
    """
    from paddlebar.replay_page.film import animated  # flights do without

    flights, names = _chosen(runs, flight)
    return animated(flights, names, fps=fps, speed=speed, first=start, last=stop)


def _chosen(runs: Source | Sequence[Source], flight: int) -> tuple[Sequence[AnyFlight], Sequence[str]]:
    """Flights, and what errors call them."""
    from paddlebar.replay_page.runs import chosen

    several = list(runs) if isinstance(runs, Sequence) and not isinstance(runs, str) else [runs]
    pairs = [chosen(run, flight) for run in several]
    return [run for run, _ in pairs], [name for _, name in pairs]


def skein_test(craft: Craft, record: str | PathLike[str]) -> SkeinTest:
    """Read a skein on a torque meter, wound and let out.

    craft   : from load_craft, whose skein it is (or is of the same rubber)
    record  : csv file, columns on page `rubber` of the manual
    Returns : SkeinTest: energy in and out, loss, breaking constant, the craft's constants, and the curve for [skein] measured
    Raises  : BadInput, one line
    Source  : see checks/skein_test.py
    """
    from paddlebar.checks.skein_test import skein_test as test
    from paddlebar.files.skein_record import read_skein_record

    return test(craft.skein, read_skein_record(Path(record)))


@closes_progress
def report(
    run: Source,
    path: str | PathLike[str],
    *,
    pdf: str | PathLike[str] | None = None,
    margins: bool = True,
    flight: int = 1,
    progress: Progress = SILENT,
) -> Path:
    """Write one page about a flight: what flew, why, what to change first, margins, balance, ledger, stick, inputs, sources, cautions.

    run     : a run file, a folder that holds run.h5, or a Flight
    path    : the page, an HTML file whole in itself;  pdf : the same on A4 as well; each replaced whole or not at all
    margins : find verdict and modes, the longest piece of the work
    flight  : which flight of a file that holds several, from 1
    progress : told start(steps), step(what), close()
    Returns : path of the page
    Raises  : BadInput for a file that is not there or that holds fewer flights; NotARunFile; OSError from the disk
    Source  : see studies/report/gathered.py, and studies/advise for what to change
    """
    from paddlebar.replay_page.runs import chosen  # flights do without
    from paddlebar.report_page.compose import compose
    from paddlebar.report_page.save import save_html, save_pdf
    from paddlebar.report_page.told import told

    recorded, name = chosen(run, flight)
    document = compose(told(recorded, name, with_margins=margins, progress=progress), name)
    save_html(document, Path(path))
    if pdf is not None:
        save_pdf(document, Path(pdf))
    return Path(path)
