"""The verbs as functions: one page shows the whole flow of data."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from paddlebar.craft.limits import check_limits
from paddlebar.craft.strikes import check_clear
from paddlebar.files import load
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.result import Flight

if TYPE_CHECKING:
    from concurrent.futures import Executor

    import numpy as np

    from paddlebar.checks.check import Check
    from paddlebar.checks.findings import Finding
    from paddlebar.checks.skein_test import SkeinTest
    from paddlebar.ensemble.many import Flights, Item, Watcher
    from paddlebar.files.flight_record import FlightRecord
    from paddlebar.replay_page.runs import Source
    from paddlebar.stability.result import Margins
    from paddlebar.studies.axes import Range
    from paddlebar.studies.improve.study import Improved
    from paddlebar.studies.improve.variables import Vary
    from paddlebar.studies.map.study import Map
    from paddlebar.studies.match.study import Match
    from paddlebar.studies.rank.study import Rank
    from paddlebar.studies.yaw.study import Yaw
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


def error_estimate(flight: Flight, scenario: Scenario) -> dict[str, Any]:
    """How far off a flight is as a solution of its equations, from the same flight at a hundredth of the tolerance.

    flight, scenario : a flight and the scenario that it was flown from
    Returns          : rtol compared with, position_m, attitude_deg (largest differences), duration_s (difference), outcome of the other
    Source           : see flight/error.py
    """
    from paddlebar.flight.error import error_estimate as estimate  # flights do without

    return estimate(flight, scenario)


def margins(scenario: Scenario, step: Callable[[], None] = lambda: None) -> Margins:
    """Say whether a bar stabilises its craft or reverses, by how much, and how far it may move.

    scenario : from load_scenario; of its launch only the turns count, the air is still and open
    step     : called after each piece of work, margins.analysis.STEPS_OF_WORK of them, for a progress bar
    Returns  : Margins: steady motions and modes along the run-down, verdict against the bar disconnected, margins of gain (factor),
        lead (degrees) and tip mass (grams); what does not exist is nan or None
    Raises   : BadInput where only building the craft shows that the input is impossible
    Source   : Floquet's theory on the one right-hand side, see stability/floquet.py
    """
    from paddlebar.stability.analysis import margins as analyse  # flights do without

    return analyse(scenario, step)


def fly_many(
    scenarios: Iterable[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Watcher | None = None,
    every: int = 0,
) -> Flights:
    """Fly many scenarios in compiled steps on all processors; what each came to, not its whole course.

    scenarios : each from load_scenario, or (path, overrides), which is then read where it flies
    workers   : processes; None: one a processor, 1: none but this one. The flights are the same, bit for bit, for any number
    executor  : any concurrent.futures.Executor to use instead (threads do well too: the steps release Python's lock);
        it is not shut down
    progress  : told start(flights), step(outcome) for each that is done, close()
    every     : keep time and state at each so-manieth step, 0 not at all
    Returns   : Flights, arrays in the order asked for. One that could not be flown has outcome "failed" and says why; the others
        are not touched by it
    Raises    : KeyboardInterrupt on Ctrl-C, when nothing runs any more
    Note      : a program that calls this with several workers needs `if __name__ == "__main__":` about its own start, as with
        any process pool
    Source    : see ensemble/steps.py; tolerance and longest step are the scenario's, its method is not used
    """
    from paddlebar.ensemble.many import fly_all  # one flight does without

    return fly_all(scenarios, workers=workers, executor=executor, progress=progress, every=every)


def samples(
    path: str | PathLike[str], count: int, draw: Callable[[np.random.Generator], Mapping[str, Any]], seed: int = 1
) -> list[Item]:
    """Scenarios that differ by chance, for fly_many.

    path    : scenario file;  count : how many
    draw    : from a random generator to what is changed, dotted keys -> values as in load_scenario
    seed    : the i-th sample has default_rng([seed, i]), however many are drawn or flown, and where
    Returns : list of (path, changes)
    """
    from paddlebar.ensemble.many import samples as drawn

    return drawn(path, count, draw, seed)


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
    Source  : see bench/: strength.py, weights.py, drive.py, shaking.py, clearance.py, doubts.py
    """
    from paddlebar.checks.check import check as look_over  # flights do without

    return look_over(craft, turns)


def build_sheet(craft: Craft, path: str | PathLike[str], findings: Sequence[Finding] = ()) -> list[Path]:
    """Write the build sheet of a craft: drawings to scale, outlines to cut by, parts, pulleys, turns, test plan, on A4.

    craft    : from load_craft
    path     : NAME.pdf, one file; or NAME.png, a picture a page, NAME-1.png and so on; in an existing folder, overwritten
    findings : check(craft).findings: those that are not fine then stand before the test plan
    Returns  : paths of what was written
    Raises   : BadInput for a name that ends otherwise; OSError where it cannot be written
    """
    from paddlebar.sheet.book import check_sheet, save_sheet  # flights do without

    return save_sheet(craft, check_sheet(path), findings)


def yaw(
    scenario: Scenario,
    ratios: Iterable[float] | None = None,
    pitches_deg: Iterable[float] | None = None,
    diameters_mm: Iterable[float] | None = None,
    **how: Any,
) -> Yaw:
    """Find the tail ratio that keeps a craft's body from spinning, by whole run-downs of the skein.

    scenario     : from load_scenario; of it the craft, the winding and the release count: the flights are high up in still open air
    ratios       : tail turns for a turn of the rotor; None: nine from 0.7 to 1.3 times the craft's own
    pitches_deg, diameters_mm : of the tail rotor; None: the craft's pitch and three degrees either way, the craft's diameter
    how          : file (study file, gone on with if it is there), executor, workers, start, step: see studies/yaw/study.py
    Returns      : Yaw: arrays (diameters, pitches, ratios) of spin and drift [deg/s], turns, power shares, the balancing ratios
    Raises       : BadInput for a craft without a tail on a cord, values out of the possible, a study file of something else
    Source       : see studies/yaw/study.py
    """
    from paddlebar.studies.yaw.study import yaw as study  # flights do without

    return study(scenario, ratios, pitches_deg, diameters_mm, **how)


def stability_map(
    scenario: Scenario,
    x: Range,
    y: Range,
    by: str = "floquet",
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Watcher | None = None,
    file: str | PathLike[str] | None = None,
) -> Map:
    """Two parameters of a flight or its craft against stability, the craft's own place among them.

    scenario : from load_scenario
    x, y     : (key, lowest, highest, how many): any key that holds a number, the craft's under "craft.", values in the unit of the key
    by       : "floquet": growth about steady flight at the torque of half the run-down; "flights": each point flown, high up and without walls
    workers  : processes; None: one a processor, 1: none but this one. The map is the same for any number
    executor : any concurrent.futures.Executor to use instead; it is not shut down
    progress : told start(steps), step(what), close()
    file     : study file, gone on with if it is there; None: nothing is kept
    Returns  : Map: growth [1/s], growth without bar, verdicts, arrays (ny, nx); nan where no steady motion was found
    Raises   : BadInput for keys that do not exist or hold no number, ends that the file would not allow, a study file of something else
    Note     : with several workers a program needs `if __name__ == "__main__":` about its own start
    Source   : see stability/floquet.py and studies/map/by_flights.py
    """
    from paddlebar.studies.map.study import stability_map as study  # flights do without

    return study(scenario, x, y, by, workers=workers, executor=executor, progress=progress, file=file)


def rank(
    scenario: Scenario,
    keys: Mapping[str, float] | None = None,
    *,
    samples: int = 64,
    seed: int = 1,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Watcher | None = None,
    file: str | PathLike[str] | None = None,
) -> Rank:
    """Which change of a craft helps most, and which of its measures is worth the most care.

    scenario : from load_scenario; its own flight, room, launch and air included, is flown until it ends
    keys     : dotted key -> tolerance, in the unit of the key, the craft's under "craft."; None: the usual ones that the craft has
        (studies/tolerances.py)
    samples  : base samples of the global part, a power of two, 0 for none; flights: 1 + 2 d + samples (d + 2) for d keys
    seed     : of the samples
    workers  : processes; None: one a processor, 1: none but this one. The answer is the same for any number
    executor : any concurrent.futures.Executor to use instead; it is not shut down
    progress : told start(steps), step(what), close()
    file     : study file, gone on with if it is there, more samples added to it; None: nothing is kept
    Returns  : Rank: arrays (keys, outputs) of values at both ends, slopes, first and total indices with intervals; nan where there are none
    Raises   : BadInput for keys that do not exist or hold no number, tolerances that the file would not allow, a study file of something else
    Note     : with several workers a program needs `if __name__ == "__main__":` about its own start
    Source   : see studies/rank/slopes.py, studies/rank/indices.py
    """
    from paddlebar.studies.rank.study import rank as study  # flights do without

    return study(
        scenario, keys, samples=samples, seed=seed, workers=workers, executor=executor, progress=progress, file=file
    )


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


def improve(scenario: Scenario, vary: Sequence[Vary] | None = None, wanted: str = "duration", **how: Any) -> Improved:
    """Look for a better craft: keys varied within limits, demands kept, masses following measures, each change explained.

    scenario : from load_scenario; the start, flown as it says, room, wind and mishaps included, until it lands
    vary     : (key, lowest, highest) each, the craft's under "craft.", values in the unit of the key; None: lead, gain and tip mass of the
        bar, rotor pitch, turns and strands of the skein, drive pulley and pitch of the tail, as far as the craft has them
    wanted   : "duration", "height", "stability" (growth of disturbances) or "stillness" (spin of the body)
    how      : limits {"share": turns over breaking turns, "heaviest": g, "spin": deg/s, "margin": growth at most, -0.05 /s},
        shares (of the turns, where growth is demanded), budget (designs), seed, workers, executor, progress (start, step, close),
        file (study file, gone on with if it is there): see studies/improve/study.py
    Returns  : Improved: result as a scenario, figures before and after, what each change does alone, every design
    Raises   : BadInput for keys that do not exist or hold no number, limits that a file would not allow, a study file of something else
    Note     : with several workers a program needs `if __name__ == "__main__":` about its own start. The result is the same for any number of
        them, and after any interruption
    Source   : see studies/improve/search.py
    """
    from paddlebar.studies.improve.study import improve as study  # flights do without

    return study(scenario, vary, wanted, **how)


def match(
    scenario: Scenario,
    record: str | PathLike[str] | FlightRecord,
    unknowns: Mapping[str, float | None] | None = None,
    *,
    further: bool = True,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Watcher | None = None,
    folder: str | PathLike[str] | None = None,
) -> Match:
    """Find what cannot be measured on a craft from flights and bench readings.

    scenario : from load_scenario, with the craft as it is believed to be; a row of the record says what was different
    record   : csv file, columns in the README, or what was read from one
    unknowns : dotted key -> standard deviation of what is believed before, None: a build tolerance. None: rubber's energy, real pitch,
        section drag, airframe drag, friction of the bar
    further  : look for the readings that would tell most next
    workers  : flights at once, in threads; None: one a processor
    executor : a ThreadPoolExecutor to use instead; it is not shut down
    progress : told start(steps), step(what), close()
    folder   : where what is finished is kept until the match ends, so that one that was interrupted is gone on with; None: nowhere
    Returns  : Match: values with 90 % intervals and correlations, chi-square test, readings compared, what is not told apart, further
        readings; `.changes` are overrides for load_scenario
    Raises   : BadInput, one line, for a record or an unknown that is not possible
    Source   : see studies/match/study.py
    """
    from paddlebar.files.flight_record import FlightRecord, read_flight_record
    from paddlebar.studies.match.study import match as study

    found = record if isinstance(record, FlightRecord) else read_flight_record(Path(record))
    return study(
        scenario, found, unknowns, further=further, executor=executor, workers=workers, progress=progress, folder=folder
    )


def skein_test(craft: Craft, record: str | PathLike[str]) -> SkeinTest:
    """Read a skein on a torque meter, wound and let out.

    craft   : from load_craft, whose skein it is (or is of the same rubber)
    record  : csv file, columns in the README
    Returns : SkeinTest: energy in and out, loss, breaking constant, the craft's constants, and the curve for [skein] measured
    Raises  : BadInput, one line
    Source  : see checks/skein_test.py
    """
    from paddlebar.checks.skein_test import skein_test as test
    from paddlebar.files.skein_record import read_skein_record

    return test(craft.skein, read_skein_record(Path(record)))


def report(
    run: Source,
    path: str | PathLike[str],
    *,
    pdf: str | PathLike[str] | None = None,
    margins: bool = True,
    flight: int = 1,
    step: Callable[[str], None] = lambda _: None,
) -> Path:
    """Write one page about a flight: what flew, why, what to change first, margins, balance, ledger, stick, inputs, sources, cautions.

    run     : a run file, a folder that holds run.h5, or a Flight
    path    : the page, an HTML file whole in itself;  pdf : the same on A4 as well; each replaced whole or not at all
    margins : find verdict and modes, the longest piece of the work
    flight  : which flight of a file that holds several, from 1
    step    : called with a word before each piece of work
    Returns : path of the page
    Raises  : BadInput for a file that is not there or that holds fewer flights; NotARunFile; OSError from the disk
    Source  : see studies/report/gathered.py
    """
    from paddlebar.replay_page.runs import chosen  # flights do without
    from paddlebar.report_page.compose import compose
    from paddlebar.report_page.save import save_html, save_pdf
    from paddlebar.studies.report.gathered import account

    recorded, name = chosen(run, flight)
    document = compose(account(recorded, name, with_margins=margins, step=step), name)
    save_html(document, Path(path))
    if pdf is not None:
        save_pdf(document, Path(pdf))
    return Path(path)
