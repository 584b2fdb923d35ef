"""A program of a user's own, all of it typed: `mypy --strict` has nothing to say about it (test_names.py, .ci/run).

Run, it flies and reckons for some minutes; here it is only read.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

import paddlebar
from paddlebar import (
    BadInput,
    Check,
    Craft,
    Event,
    Finding,
    Flight,
    Flights,
    Improved,
    Map,
    Margins,
    Match,
    Progress,
    Rank,
    RecordedFlight,
    Scenario,
    StandPoint,
    Yaw,
)


class Dots:
    """A progress of one's own: three methods, no base."""

    def start(self, steps: int) -> None:
        print(steps, "to do")

    def step(self, what: str) -> None:
        print(".", end="")

    def close(self) -> None:
        print()


def lean(flight: Flight | RecordedFlight) -> float:
    """Largest lean [deg]."""
    return float(np.degrees(flight.tilt.max()))


def one_flight(path: Path, turns: float) -> Flight:
    scenario: Scenario = paddlebar.load_scenario(path, {"skein.turns": turns})
    flight: Flight = paddlebar.fly(scenario)
    events: list[Event] = flight.events
    for event in events:
        print(event.time_s, event.name)
    print(lean(flight), flight.summary["duration_s"], paddlebar.error_estimate(flight, scenario)["position_m"])
    return flight


def on_the_bench(path: Path) -> list[Finding]:
    craft: Craft = paddlebar.load_craft(path, {"bar.gain": -0.5})
    point: StandPoint = paddlebar.stand(craft, 400.0)
    found: Check = paddlebar.check(craft, turns=300.0)
    print(craft.name, craft.bar.lead_deg, point.thrust_n, found.sound)
    files: list[Path] = paddlebar.build_sheet(craft, "sheet.pdf", found.findings)
    return [finding for finding in found.findings if finding.severity == "stop"] if files else []


def stability(scenario: Scenario, progress: Progress) -> float:
    found: Margins = paddlebar.margins(scenario, progress=progress)
    down, up = found.gain_margin
    chart: Map = paddlebar.stability_map(
        scenario, ("craft.bar.gain", 0.1, 0.9, 9), ("craft.bar.lead_deg", 60.0, 140.0, 9), progress=progress
    )
    print(found.verdict, down, up, [mode.growth_per_s for mode in found.modes], chart.growth.min())
    return found.worst_growth_per_s


def launch(chance: np.random.Generator) -> dict[str, float]:
    return {"launch.tilt_deg": float(chance.uniform(0.0, 5.0))}


def many(path: Path) -> float:
    flights: Flights = paddlebar.fly_many(paddlebar.samples(path, 100, launch, seed=1), workers=2, progress=Dots())
    return float(np.mean(flights.duration_s))


def studies(scenario: Scenario, record: Path) -> Craft:
    ranked: Rank = paddlebar.rank(scenario, {"craft.bar.gain": 0.02}, samples=8, progress=Dots())
    better: Improved = paddlebar.improve(
        scenario, [("craft.bar.gain", 0.1, 0.9)], "duration", budget=50, progress=Dots()
    )
    turned: Yaw = paddlebar.yaw(scenario, [4.0, 4.5, 5.0], progress=Dots())
    fitted: Match = paddlebar.match(scenario, record, {"craft.rotor.collective_deg": 1.0}, progress=Dots())
    print(ranked.sound, better.feasible, turned.own_drift_deg_s, fitted.fits, fitted.changes)
    return better.scenario.craft


def asked(flight: Flight, scenario: Scenario) -> float:
    other: Scenario = scenario.replace({"craft.bar.gain": 0.4, "launch.tilt_deg": np.float64(3.0)})
    craft: Craft = other.craft.replace({"bar.lead_deg": 95.0})
    event: Event = flight.events[0]
    moment: dict[str, Any] = flight.at(1.0)
    kept: Path = flight.save("run.h5")
    film: Path = paddlebar.film(flight, "bar.gif", speed=0.1, stop=1.0)
    print(
        craft.bar.gain,
        event.time_s,
        moment["height"],
        kept,
        film,
        flight.lean.shape,
        flight.to_xarray(),
        flight.to_pandas(),
    )
    return flight.mean_spin() + float(flight.disc_plane[0, 0] + flight.bar_plane[0, 1])


def main() -> None:
    try:
        flight = one_flight(Path("scenarios/first-flight.toml"), 350.0)
    except BadInput as error:
        raise SystemExit(str(error)) from None
    page: Path = paddlebar.report(flight, "report.html", margins=False, progress=Dots())
    film: Path = paddlebar.replay(flight, "replay.html")
    kept: list[RecordedFlight] = paddlebar.read_run("flights/first-flight/run.h5")
    print(page, film, [lean(each) for each in kept], on_the_bench(Path("models/hall-ten.toml")))
    scenario = paddlebar.load_scenario("scenarios/first-flight.toml")
    print(stability(scenario, Dots()), many(Path("scenarios/first-flight.toml")))
    print(studies(scenario, Path("scenarios/hall-record.csv")).name)


if __name__ == "__main__":
    main()
