"""A scenario taken to where nothing but the craft itself matters: so high that no floor, wall or ceiling is within reach."""

from __future__ import annotations

from typing import Final

from paddlebar.files.scenario import Room, Scenario

HIGH_M: Final = 300.0  # out of reach of any run-down
LONGEST_S: Final = 600.0  # as in the scenario file


def aloft(scenario: Scenario) -> Scenario:
    """The same flight, high up and without walls or floor."""
    launch = scenario.launch.model_copy(update={"height_m": HIGH_M})
    if launch.release != "free" and (launch.release == "floor" or launch.hold_s == 0.0):
        # there is no floor up there, and what is never let go flies nowhere
        launch = launch.model_copy(update={"release": "held", "hold_s": max(launch.hold_s, 1.0)})
    return scenario.model_copy(update={"launch": launch, "room": Room(ground_effect=False)})


def undisturbed(scenario: Scenario, duration_s: float) -> Scenario:
    """The same craft, winding and release, high up in still air, nothing breaks; to its end or so long [s], or until it tips over."""
    high = aloft(scenario)
    air = high.air.model_copy(update={"wind_m_s": 0.0, "gust_m_s": 0.0, "turbulence": False})
    run = high.run.model_copy(
        update={"duration_s": min(duration_s, LONGEST_S), "after_tipping": "stop", "breakage": False}
    )
    return high.model_copy(update={"air": air, "run": run, "mishap": ()})
