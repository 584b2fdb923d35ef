"""Flights of light rubber-powered model helicopters that a weighted paddle bar keeps upright.

Names are loaded on first use, so that ``import paddlebar`` costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from paddlebar.api import (
        build_sheet,
        check,
        error_estimate,
        fly,
        fly_many,
        load_craft,
        load_scenario,
        margins,
        match,
        rank,
        replay,
        report,
        samples,
        skein_test,
        stability_map,
        stand,
        yaw,
    )
    from paddlebar.checks.check import Check
    from paddlebar.checks.skein_test import SkeinTest
    from paddlebar.ensemble.many import Flights
    from paddlebar.errors import BadInput, CannotTrim
    from paddlebar.flight.result import Flight
    from paddlebar.stability.result import Margins
    from paddlebar.studies.improve.study import Improved
    from paddlebar.studies.map.study import Map
    from paddlebar.studies.match.study import Match
    from paddlebar.studies.rank.study import Rank
    from paddlebar.studies.yaw.study import Yaw
    from paddlebar.whirl_stand import StandPoint

__version__ = "0.1.0"

__all__ = [
    "BadInput",
    "CannotTrim",
    "Check",
    "Flight",
    "Flights",
    "Improved",
    "Map",
    "Margins",
    "Match",
    "Rank",
    "SkeinTest",
    "StandPoint",
    "Yaw",
    "__version__",
    "build_sheet",
    "check",
    "error_estimate",
    "fly",
    "fly_many",
    "improve",
    "load_craft",
    "load_scenario",
    "margins",
    "match",
    "rank",
    "replay",
    "report",
    "samples",
    "skein_test",
    "stability_map",
    "stand",
    "yaw",
]

_HOMES = {
    "BadInput": "paddlebar.errors",
    "CannotTrim": "paddlebar.errors",
    "Check": "paddlebar.checks.check",
    "Flight": "paddlebar.flight.result",
    "Flights": "paddlebar.ensemble.many",
    "Improved": "paddlebar.studies.improve.study",
    "Map": "paddlebar.studies.map.study",
    "Margins": "paddlebar.stability.result",
    "Match": "paddlebar.studies.match.study",
    "Rank": "paddlebar.studies.rank.study",
    "SkeinTest": "paddlebar.checks.skein_test",
    "StandPoint": "paddlebar.whirl_stand",
    "Yaw": "paddlebar.studies.yaw.study",
    "build_sheet": "paddlebar.api",
    "check": "paddlebar.api",
    "error_estimate": "paddlebar.api",
    "fly": "paddlebar.api",
    "fly_many": "paddlebar.api",
    "improve": "paddlebar.api",
    "load_craft": "paddlebar.api",
    "load_scenario": "paddlebar.api",
    "margins": "paddlebar.api",
    "match": "paddlebar.api",
    "rank": "paddlebar.api",
    "replay": "paddlebar.api",
    "report": "paddlebar.api",
    "samples": "paddlebar.api",
    "skein_test": "paddlebar.api",
    "stability_map": "paddlebar.api",
    "stand": "paddlebar.api",
    "yaw": "paddlebar.api",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value  # found at once from now on
    return value


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
