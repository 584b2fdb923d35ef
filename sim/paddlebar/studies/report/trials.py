"""Single changes of a flight that ended badly, each flown: evidence for what to change first, not a search."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from paddlebar.craft.knobs import SWITCHES
from paddlebar.errors import PaddlebarError
from paddlebar.files.load import parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight.endings import WELL
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.result import FlightData
from paddlebar.progress import SILENT, Progress
from paddlebar.stability.result import Margins
from paddlebar.stability.verdict import STABILISES
from paddlebar.studies.report.past_edges import places

Change = tuple[str, dict[str, Any]]  # words, overrides

MOST_TRIALS: Final = 10
FEWER_TURNS: Final = 0.8  # under a ceiling; own choice


@dataclass(frozen=True)
class Trial:
    """One change and what came of it.

    words : the change in a builder's words;  setting : for --set;  outcome, duration_s, max_tilt_deg : of its flight
    well  : it landed upright or still flew in control;  longer_s : against the flight reported
    controlled_s, gained_s : time in control, and by how much that is more
    """

    words: str
    setting: str
    outcome: str
    duration_s: float
    max_tilt_deg: float
    well: bool
    longer_s: float
    controlled_s: float
    gained_s: float


def ended_well(flight: FlightData) -> bool:
    """Landed upright, or still flying in control."""
    return flight.outcome in WELL


def trials(
    flight: FlightData, scenario: Scenario, found: Margins | None, progress: Progress = SILENT
) -> tuple[Trial, ...]:
    """Fly single changes of the flight and of its bar; none for a flight that ended well.

    flight   : as it was;  scenario : its description;  found : its margins, whose edges say where to look
    progress : told of each before it is flown
    Returns  : best first: those that end well, then the longest in control: a fall that takes longer is a fall
    """
    if ended_well(flight) or not flight.complete:
        return ()
    text, done = scenario.effective_toml(), []
    wanted = [*_of_flight(flight, scenario), *_of_bar(scenario, found)][:MOST_TRIALS]
    progress.start(len(wanted))
    for words, changes in wanted:
        progress.step("trying a change")
        try:
            other = fly_scenario(parse_scenario(text, "trial", overrides=changes))
        except PaddlebarError:  # a change that the file would not allow is no advice
            continue
        setting = " ".join(f"--set {key}={_toml(value)}" for key, value in changes.items() if key != "mishap")
        figures = other.summary
        apart = float(other.time[-1] - flight.time[-1])
        done.append(
            Trial(
                words,
                setting,
                other.outcome,
                figures["duration_s"],
                figures["max_tilt_deg"],
                ended_well(other),
                apart,
                other.controlled_s,
                other.controlled_s - flight.controlled_s,
            )  # fmt: skip
        )
    return tuple(sorted(done, key=lambda each: (not each.well, -each.controlled_s, -each.duration_s)))


def _of_flight(flight: FlightData, scenario: Scenario) -> list[Change]:
    """Nothing wrong, let go upright, still air, fewer turns under a ceiling: where the flight had it otherwise."""
    launch, air = scenario.launch, scenario.air
    out: list[Change] = []
    if scenario.mishap:
        what = " and ".join(dict.fromkeys(mishap.what for mishap in scenario.mishap))
        out.append((f"prevent what went wrong on cue: {what}", {"mishap": []}))
    if launch.tilt_deg != 0.0:
        out.append((f"let it go upright: launch.tilt_deg from {launch.tilt_deg:g} to 0", {"launch.tilt_deg": 0.0}))
    if air.wind_m_s > 0.0 or air.gust_m_s > 0.0:
        out.append(("fly it in still air", {"air.wind_m_s": 0.0, "air.gust_m_s": 0.0, "air.turbulence": False}))
    if flight.outcome == "touched ceiling":
        turns = float(round(FEWER_TURNS * scenario.skein.turns))
        out.append((f"wind less: skein.turns from {scenario.skein.turns:g} to {turns:g}", {"skein.turns": turns}))
    return out


def _of_bar(scenario: Scenario, found: Margins | None) -> list[Change]:
    """The linkage reversed, and each edge of the verdict passed; nothing where the bar stabilises already."""
    reversing = [each.move(scenario) for each in SWITCHES if each.key == "craft.bar.gain" and each.has(scenario)]
    if not reversing or (found is not None and found.verdict == STABILISES):
        return []
    out = [(move.words, {move.key: move.value}) for move in reversing]
    if found is None:
        return out
    return out + [(each.words, {f"craft.bar.{each.key}": each.value}) for each in places(scenario, found)]


def _toml(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else f"{value:g}"
