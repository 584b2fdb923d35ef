"""Keys of a scenario that were given and do nothing in it: a flight says so before it begins. Those of a craft: checks/doubts.py.

One row for each reason; a key that is left out, or that has its default, is nobody's wish and is not spoken of. Limits that a flight does
not come to (ceiling, walls, stops, a cord's grip) do something: they are watched.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.scenario import Scenario


@dataclass(frozen=True)
class Reason:
    """Why keys do nothing.

    table, keys : of the scenario;  holds : whether they do nothing here;  says : why
    """

    table: str
    keys: tuple[str, ...]
    holds: Callable[[Scenario], bool]
    says: str


def _no_wind(scenario: Scenario) -> bool:
    return scenario.air.wind_m_s == 0.0


def _calm(scenario: Scenario) -> bool:
    return _no_wind(scenario) and scenario.air.gust_m_s == 0.0 and not scenario.air.turbulence


def _grows_with_no_wind(scenario: Scenario) -> bool:
    air = scenario.air
    return air.turbulence and air.turbulence_like == "outdoors" and air.turbulence_m_s is None and _no_wind(scenario)


REASONS: Final = (
    Reason("launch", ("hold_s",), lambda s: s.launch.release == "floor", 'with release = "floor" the craft stands until it lifts'),
    Reason("launch", ("hold_s",), lambda s: s.launch.release == "free", 'with release = "free" nobody holds the craft'),
    Reason("launch", ("tilt_toward_deg",), lambda s: s.launch.tilt_deg == 0.0, "it is let go level (launch.tilt_deg)"),
    Reason("launch", ("teeter_deg",), lambda s: not HEADS[s.craft.head.kind].teeters, "this head does not teeter (head.kind)"),
    Reason("launch", ("bar_deg",), lambda s: not BARS[s.craft.bar.kind].tilts, "there is no bar that tilts (bar.kind)"),
    Reason("air", ("pressure_hPa",), lambda s: s.air.density_kg_m3 is not None, "air.density_kg_m3 is given in its place"),
    Reason("air", ("shear_exponent",), _no_wind, "there is no wind (air.wind_m_s)"),
    Reason("air", ("reference_height_m",), lambda s: _no_wind(s) or s.air.shear_exponent == 0.0, "the wind does not grow with height (air.shear_exponent)"),
    Reason("air", ("wind_from_deg",), _calm, "there is no wind (air.wind_m_s)"),
    Reason("air", ("gust_from_deg", "gust_start_s", "gust_length_s"), lambda s: s.air.gust_m_s == 0.0, "there is no gust (air.gust_m_s)"),
    Reason("air", ("turbulence",), _grows_with_no_wind, 'outdoors it grows with the wind, and there is none (air.wind_m_s, or turbulence_like = "indoors")'),
    Reason("air", ("turbulence_like", "turbulence_m_s", "seed"), lambda s: not s.air.turbulence, "there is no turbulence (air.turbulence = true)"),
    Reason("room", ("ground_effect",), lambda s: s.run.inflow != "dynamic", 'run.inflow is not "dynamic"'),
    Reason("run", ("radial_inflow", "tip_loss"), lambda s: s.run.inflow != "dynamic", 'run.inflow is not "dynamic"'),
    Reason("run", ("tip_loss",), lambda s: s.run.inflow == "dynamic" and s.run.radial_inflow == "uniform", 'run.radial_inflow is "uniform"'),
    Reason("run", ("paddle_elements",), lambda s: not s.craft.bar.has_paddles, "the bar has no paddles"),
    Reason("run", ("tail_elements",), lambda s: s.craft.tail is None or s.craft.tail.drive == "none", "no tail rotor turns (tail.drive)"),
)  # fmt: skip


def not_used(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """(name of the event, sentence) for each key that was given and does nothing."""
    for reason in REASONS:
        table = getattr(scenario, reason.table)
        for key in reason.keys:
            value = getattr(table, key)
            if table.given(key) and value != type(table).model_fields[key].default and reason.holds(scenario):
                written = str(value).lower() if isinstance(value, bool) else value
                yield f"{key} not used", f"{reason.table}.{key} = {written} does nothing: {reason.says}"
