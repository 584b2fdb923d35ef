"""Verbs as functions: one page shows the whole flow of data. The studies' functions stand in their rooms, see the table in __init__.py."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from paddlebar.craft.clear import check_clear
from paddlebar.craft.limits import check_limits
from paddlebar.files import load
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.result import Flight
from paddlebar.progress import SILENT, Progress, closes_progress

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from paddlebar.checks.check import Check
    from paddlebar.checks.skein_test import SkeinTest
    from paddlebar.ensemble.many import Flights, Item
    from paddlebar.replay_page.runs import Source
    from paddlebar.stability.result import Margins
    from paddlebar.whirl_stand import StandPoint


def load_craft(path: str | PathLike[str], overrides: Mapping[str, Any] | None = None) -> Craft:
    """Read and check a craft file.

    path      : craft file (TOML)
    overrides : dotted keys of the craft file -> values, "bar.gain": -0.5
    Returns   : Craft, frozen, values in the units of its keys
    Raises    : BadInput, one line that names file, key, value and rule
    """
    return check_clear(load.load_craft(path, overrides))


def load_scenario(path: str | PathLike[str], overrides: Mapping[str, Any] | None = None) -> Scenario:
    """Read and check a scenario and its craft.

    path      : scenario file (TOML), or a run file (.h5): what that was flown from
    overrides : dotted keys of the scenario -> values; those of the craft under "craft.", as "craft.bar.gain": -0.5
    Returns   : Scenario, frozen, values in the units of its keys, craft included and changed
    Raises    : BadInput, one line that names file, key, value and rule
    """
    if Path(path).suffix == ".h5":
        from paddlebar.record.again import scenario_of

        scenario = scenario_of(path, overrides)
    else:
        scenario = load.load_scenario(path, overrides)
    check_limits(scenario)
    return scenario


def fly(scenario: Scenario) -> Flight:
    """Fly a scenario.

    scenario : from load_scenario
    Returns  : Flight: every state and load against time (SI), events, energy ledger, summary; one that failed numerically
        comes back too, with outcome "failed" and complete False
    Raises   : BadInput where only launching shows that the input is impossible
    Source   : equations of motion and loads name theirs in physics/, integrator: scipy.integrate.solve_ivp
    """
    return fly_scenario(scenario)


@closes_progress
def margins(scenario: Scenario, *, progress: Progress = SILENT) -> Margins:
    """Say whether a bar stabilises its craft or reverses, by how much, and how far it may move.

    scenario : from load_scenario; of its launch only the turns count, the air is still and open
    progress : told start(steps), step(what), close()
    Returns  : Margins: steady motions and modes along the run-down, verdict against the bar disconnected, margins of gain (factor),
        lead (degrees) and tip mass (grams); what does not exist is nan or None
    Raises   : BadInput where only building the craft shows that the input is impossible
    Source   : Floquet's theory on the one right-hand side, see stability/floquet.py
    """
    from paddlebar.stability.analysis import margins as analyse  # flights do without

    return analyse(scenario, progress=progress)


@closes_progress
def fly_many(
    scenarios: Iterable[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    every: int = 0,
) -> Flights:
    """Fly many scenarios in compiled steps on all processors; what each came to, not its whole course.

    scenarios : each from load_scenario, or (path, overrides), which is then read where it flies
    workers   : processes; None: one a processor, 1: none but this one. The flights are the same, bit for bit, for any number
    executor  : any concurrent.futures.Executor to use instead (threads do well too: the steps release Python's lock); it is not shut down
    progress  : told start(flights), step(outcome) for each that is done, close()
    every     : keep time and state at each so-manieth step, 0 not at all
    Returns   : Flights, arrays in the order asked for. One that could not be flown has outcome "failed" and says why; the others
        are not touched by it
    Raises    : KeyboardInterrupt on Ctrl-C, when nothing runs any more
    Note      : with several workers a program needs `if __name__ == "__main__":` about its own start, as with any process pool
    Source    : see ensemble/steps.py; tolerance and longest step are the scenario's, its method is not used
    """
    from paddlebar.ensemble.many import fly_all  # one flight does without

    return fly_all(scenarios, workers=workers, executor=executor, progress=progress, every=every)


def stand(craft: Craft, rpm: float | None, collective_deg: float | None = None) -> StandPoint:
    """Turn a craft's rotor on a stand in still air.

    craft          : from load_craft
    rpm            : rotor speed [rev/min]; None: the one at which the rotor lifts the whole craft
    collective_deg : pitch at 75 % radius [deg]; None: the craft's own
    Returns        : StandPoint: thrust, torque, power, CT, CQ, figure of merit, coning, and the tail rotor's
    Raises         : BadInput for a speed or a pitch out of the possible, or a rotor that cannot lift its craft
    Source         : see whirl_stand.py
    """
    from paddlebar.whirl_stand import stand as on_the_stand  # flights do without

    return on_the_stand(craft, rpm, collective_deg)


def check(craft: Craft, turns: float | None = None) -> Check:
    """Look a craft over before it flies: would it balance, would the stick hold, does the cord grip, does anything strike.

    craft   : from load_craft
    turns   : wound; None: 85 % of those at which the skein breaks
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
    from paddlebar.replay_page.runs import chosen

    several = list(runs) if isinstance(runs, Sequence) and not isinstance(runs, str) else [runs]
    flights, names = zip(*(chosen(run, flight) for run in several), strict=True) if several else ((), ())
    save_page(flights, names, Path(path))
    return Path(path)


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
