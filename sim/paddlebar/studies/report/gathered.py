"""The account of one flight: what was recorded, and what its description tells when it is asked again."""

from __future__ import annotations

import time as clock
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from paddlebar.checks.check import Check, check
from paddlebar.craft.build import build
from paddlebar.errors import PaddlebarError
from paddlebar.files.scenario import Scenario
from paddlebar.flight.fly import flight_of
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.result import Flight
from paddlebar.progress import SILENT, Progress
from paddlebar.record.again import compared
from paddlebar.record.read import RecordedFlight
from paddlebar.stability.analysis import margins
from paddlebar.stability.result import Margins
from paddlebar.studies.report.advice import Advice, advice
from paddlebar.studies.report.sources import Relation, relations
from paddlebar.studies.rundown import NAMES_OUT, RunDown, figures
from paddlebar.studies.suggestion import Suggestion

AnyFlight = Flight | RecordedFlight

SAME_S: Final = 0.05  # a flight flown again that lasts so much longer or shorter is another one; own choice
LEAST_SHARES: Final = 2  # of the run-down that moments can be drawn of


@dataclass(frozen=True, eq=False)
class Account:
    """All that a report is made from.

    flight   : as recorded or flown
    scenario : its description, checked again; None if this machine cannot read it, `unread` then says why
    margins  : None if they were not asked for or there are none; `no_margins` then says why
    look     : what `check` finds at the turns of this flight
    yaw      : moments about the vertical, turn by turn, from flying it again; None if there is nothing to tell, `no_yaw` then says why
    again    : how flying it again compares with the record;  same : they agree
    suggestions : changes that were flown and are better;  advice : what to change first, best first;  relations : that the flight used
    """

    flight: AnyFlight
    scenario: Scenario | None
    unread: str
    margins: Margins | None
    no_margins: str
    look: Check | None
    yaw: RunDown | None
    no_yaw: str
    again: str
    same: bool
    suggestions: tuple[Suggestion, ...]
    advice: tuple[Advice, ...]
    relations: tuple[Relation, ...]


def account(
    flight: AnyFlight,
    name: str,
    *,
    with_margins: bool = True,
    found: Margins | None = None,
    suggestions: Sequence[Suggestion] = (),
    missing: str = "",
    progress: Progress = SILENT,
) -> Account:
    """Ask the description of a flight all that its report tells.

    flight       : flown or recorded;  name : what errors and notes call it
    with_margins : find them, the longest piece of work;  found : those of this flight's scenario, where they are known already
    suggestions, missing : what studies/advise found for this scenario
    progress     : told of each piece of work before it begins
    Returns      : Account; what could not be had is None, with the reason
    Source       : each part names its own
    """
    progress.start(3)
    progress.step("reading the description")
    try:
        scenario = flight.scenario
        build(scenario)  # section tables of one's own are files of the machine that flew
    except PaddlebarError as error:
        unread = f"{name}: the description of the flight cannot be used on this machine: {error}"
        return Account(flight, None, unread, None, unread, None, None, unread, "", False, (), (), ())  # fmt: skip
    progress.step("looking the craft over")
    look = check(scenario.craft, scenario.skein.turns)
    progress.step("flying it again")
    yaw, no_yaw, again, same = _again(flight, scenario)
    no_margins = ""
    if found is None and not with_margins:
        no_margins = "not asked for"
    elif found is None and scenario.skein.turns < 1.0:
        no_margins = "the skein was not wound"
    elif found is None:
        found = margins(scenario, progress=progress)
    told = advice(flight, scenario, look, suggestions, missing)
    used = relations(scenario, margins=found is not None)
    return Account(
        flight, scenario, "", found, no_margins, look, yaw, no_yaw, again, same, tuple(suggestions), told, used
    )


def _again(flight: AnyFlight, scenario: Scenario) -> tuple[RunDown | None, str, str, bool]:
    """Moments along the flight, which no run file holds, from flying it once more; why there are none; whether it is the same flight."""
    start, numbers = clock.perf_counter(), build(scenario)
    track = fly_track(scenario, numbers)
    other = flight_of(track, scenario, numbers, start)
    against = compared(flight, other)
    longer = float(track.time[-1]) - float(flight.time[-1])
    same = other.outcome == flight.outcome and abs(longer) <= SAME_S
    if against.identical:
        again = "flown again from this description it is the same flight, bit for bit"
    elif same:
        again = f"flown again from this description it ends the same way, at most {1e3 * against.position_m:.2g} mm and {against.attitude_deg:.2g} deg off"
    else:
        again = f"flown again from this description it ends otherwise, {longer:+.2g} s later: {track.sentence}"
    if scenario.craft.tail is None:
        return None, "there is no tail rotor: nothing but the air on the body holds it against the rotor", again, same
    if scenario.skein.turns < 1.0 or not np.isfinite(track.states).all():
        return None, "the skein was not wound, or the flight failed", again, same
    run = RunDown.of(figures(track, numbers)[: _tables()])
    if np.isfinite(run.rotor_moment_mn_m).sum() < LEAST_SHARES:
        return None, "the flight ended before a twelfth of the turns was let out", again, same
    return run, "", again, same


def _tables() -> int:
    """Columns of a run-down's outputs that are tables."""
    return next(k for k, name in enumerate(NAMES_OUT) if "[" not in name)
