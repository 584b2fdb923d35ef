"""Flights of light rubber-powered model helicopters that a weighted paddle bar keeps upright.

Names are loaded on first use, so that ``import paddlebar`` costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

__version__ = "0.1.0"

# Every public name and the module of the package that it stands in: the one list.
NAMES: Final = {
    "Advised": "studies.advise.study",
    "BadInput": "errors",
    "Builds": "studies.builds.study",
    "CannotTrim": "errors",
    "Check": "checks.check",
    "Craft": "files.craft",
    "Event": "flight.result",
    "Finding": "checks.findings",
    "Flight": "flight.result",
    "Flights": "ensemble.many",
    "Force": "flight.own",
    "Improved": "studies.improve.study",
    "KeptFlights": "studies.kept_flights",
    "Linear": "stability.linear",
    "Map": "studies.map.study",
    "Margins": "stability.result",
    "Match": "studies.match.study",
    "NoSuchKey": "errors",
    "NotARunFile": "errors",
    "PaddlebarError": "errors",
    "Progress": "progress",
    "Rank": "studies.rank.study",
    "RecordedFlight": "record.read",
    "RootLocus": "stability.locus",
    "Scenario": "files.scenario",
    "Seen": "flight.seen",
    "Setting": "flight.own",
    "SkeinTest": "checks.skein_test",
    "StandPoint": "whirl_stand",
    "Sweep": "studies.sweep",
    "Yaw": "studies.yaw.study",
    "advise": "studies.advise.study",
    "animate": "api",
    "build_sheet": "sheet.book",
    "check": "api",
    "draw_bar": "pictures.bar",
    "draw_craft": "pictures.craft",
    "draw_drift": "pictures.yaw_study",
    "draw_growth": "pictures.margins",
    "draw_height": "pictures.flight",
    "draw_improved": "pictures.improve",
    "draw_ledger": "pictures.ledger",
    "draw_map": "pictures.map",
    "draw_match": "pictures.match",
    "draw_modes": "pictures.margins",
    "draw_plan": "pictures.flight",
    "draw_shapes": "pictures.margins",
    "draw_shares": "pictures.rank",
    "draw_spin": "pictures.yaw_study",
    "draw_stand": "pictures.stand",
    "draw_tornado": "pictures.rank",
    "draw_yaw": "pictures.flight",
    "error_estimate": "flight.error",
    "examples": "files.examples",
    "film": "api",
    "fly": "api",
    "fly_builds": "studies.builds.study",
    "fly_many": "api",
    "improve": "studies.improve.study",
    "linearise": "api",
    "load_craft": "api",
    "load_scenario": "api",
    "margins": "api",
    "match": "studies.match.study",
    "rank": "studies.rank.study",
    "read_flights": "studies.kept_flights",
    "read_run": "record.read",
    "replay": "api",
    "report": "api",
    "root_locus": "api",
    "samples": "ensemble.samples",
    "skein_test": "api",
    "stability_map": "studies.map.study",
    "stand": "api",
    "sweep": "studies.sweep",
    "write_cuts": "sheet.cut",
    "write_examples": "files.examples",
    "yaw": "studies.yaw.study",
}

# The same once more, for programs that read types without running anything; tests/test_names.py compares the two.
if TYPE_CHECKING:
    from paddlebar.api import (
        animate as animate,
        check as check,
        film as film,
        fly as fly,
        fly_many as fly_many,
        linearise as linearise,
        load_craft as load_craft,
        load_scenario as load_scenario,
        margins as margins,
        replay as replay,
        report as report,
        root_locus as root_locus,
        skein_test as skein_test,
        stand as stand,
    )
    from paddlebar.checks.check import Check as Check
    from paddlebar.checks.findings import Finding as Finding
    from paddlebar.checks.skein_test import SkeinTest as SkeinTest
    from paddlebar.ensemble.many import Flights as Flights
    from paddlebar.ensemble.samples import samples as samples
    from paddlebar.errors import (
        BadInput as BadInput,
        CannotTrim as CannotTrim,
        NoSuchKey as NoSuchKey,
        NotARunFile as NotARunFile,
        PaddlebarError as PaddlebarError,
    )
    from paddlebar.files.craft import Craft as Craft
    from paddlebar.files.examples import examples as examples, write_examples as write_examples
    from paddlebar.files.scenario import Scenario as Scenario
    from paddlebar.flight.error import error_estimate as error_estimate
    from paddlebar.flight.own import Force as Force, Setting as Setting
    from paddlebar.flight.result import Event as Event, Flight as Flight
    from paddlebar.flight.seen import Seen as Seen
    from paddlebar.pictures.bar import draw_bar as draw_bar
    from paddlebar.pictures.craft import draw_craft as draw_craft
    from paddlebar.pictures.flight import draw_height as draw_height, draw_plan as draw_plan, draw_yaw as draw_yaw
    from paddlebar.pictures.ledger import draw_ledger as draw_ledger
    from paddlebar.pictures.improve import draw_improved as draw_improved
    from paddlebar.pictures.map import draw_map as draw_map
    from paddlebar.pictures.margins import (
        draw_growth as draw_growth,
        draw_modes as draw_modes,
        draw_shapes as draw_shapes,
    )
    from paddlebar.pictures.match import draw_match as draw_match
    from paddlebar.pictures.rank import draw_shares as draw_shares, draw_tornado as draw_tornado
    from paddlebar.pictures.stand import draw_stand as draw_stand
    from paddlebar.pictures.yaw_study import draw_drift as draw_drift, draw_spin as draw_spin
    from paddlebar.progress import Progress as Progress
    from paddlebar.record.read import RecordedFlight as RecordedFlight, read_run as read_run
    from paddlebar.sheet.book import build_sheet as build_sheet
    from paddlebar.sheet.cut import write_cuts as write_cuts
    from paddlebar.stability.linear import Linear as Linear
    from paddlebar.stability.locus import RootLocus as RootLocus
    from paddlebar.stability.result import Margins as Margins
    from paddlebar.studies.advise.study import Advised as Advised, advise as advise
    from paddlebar.studies.builds.study import Builds as Builds, fly_builds as fly_builds
    from paddlebar.studies.improve.study import Improved as Improved, improve as improve
    from paddlebar.studies.kept_flights import KeptFlights as KeptFlights, read_flights as read_flights
    from paddlebar.studies.map.study import Map as Map, stability_map as stability_map
    from paddlebar.studies.match.study import Match as Match, match as match
    from paddlebar.studies.rank.study import Rank as Rank, rank as rank
    from paddlebar.studies.sweep import Sweep as Sweep, sweep as sweep
    from paddlebar.studies.yaw.study import Yaw as Yaw, yaw as yaw
    from paddlebar.whirl_stand import StandPoint as StandPoint

__all__ = ["__version__", *NAMES]  # noqa: PLE0604  made from the list


def __getattr__(name: str) -> Any:
    if name not in NAMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{NAMES[name]}"), name)
    globals()[name] = value  # found at once from now on
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *NAMES})
