"""The page with sliders and no server, opened from the disk in a real browser."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bench_page.browser import CHROMIUM, DRIVER, chromium
from paddlebar.ensemble.whole import flown
from paddlebar.replay_page.vary import save_varied, varied
from replay_page.conftest import scenario_of

pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None or DRIVER is None, reason="no Chromium with its driver: apt-get install chromium chromium-driver"),
]  # fmt: skip

MOST_MB = 1.5  # asked for: nine by six flights of six seconds
ROOT = Path(__file__).parents[2]
MOVE = "const s = document.getElementById(arguments[0]); s.value = arguments[1]; s.dispatchEvent(new Event('input'));"


def test_nine_by_six_flights_are_small(tmp_path):
    import paddlebar

    scenario = paddlebar.load_scenario(ROOT / "scenarios" / "first-flight.toml")
    ranges = [("craft.bar.gain", 0.2, 0.8, 9), ("craft.bar.lead_deg", 60.0, 140.0, 6)]
    size, count = save_varied(scenario, [varied(scenario, *each) for each in ranges], tmp_path / "page.html")
    assert count == 54
    assert size <= MOST_MB * 1e6


def test_a_slider_chooses_the_flight_and_the_clock_goes_on(tmp_path):
    scenario = scenario_of({"run.duration_s": 2.0})
    sliders = [
        varied(scenario, "craft.rotor.collective_deg", 8.0, 12.0, 5),
        varied(scenario, "craft.bar.gain", 0.3, 0.5, 3),
    ]
    save_varied(scenario, sliders, tmp_path / "page.html")
    with chromium() as driver:
        driver.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride", {"width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": True}
        )
        driver.get((tmp_path / "page.html").as_uri())
        for _ in range(100):
            if driver.execute_script("return document.documentElement.dataset.ready") == "yes":
                break
        assert driver.execute_script("return document.documentElement.dataset.ready") == "yes"
        driver.execute_script("paddlebar.seek(0.7)")
        driver.execute_script(MOVE, "vary-0", 4)
        driver.execute_script(MOVE, "vary-1", 0)
        t = driver.execute_script("return paddlebar.clock.now")
        assert t == pytest.approx(0.7)
        flight = flown(scenario_of({"run.duration_s": 2.0, "craft.rotor.collective_deg": 12.0, "craft.bar.gain": 0.3}))
        own = [np.interp(t, flight.time, flight.position[:, k]) for k in range(3)]
        assert driver.execute_script("return paddlebar.landmarks()")["datum"] == pytest.approx(own, abs=5e-3)
        assert driver.execute_script("return paddlebar.stages[0].ghost !== null")
        assert driver.execute_script("return document.getElementById('went').textContent").endswith(flight.sentence)
        driver.execute_script(
            "document.getElementById('plane').dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowLeft', bubbles: true}))"
        )
        assert driver.execute_script("return document.getElementById('vary-0').value") == "3"
        assert driver.execute_script("return document.documentElement.scrollWidth") <= 390
        assert driver.execute_script("return performance.getEntriesByType('resource').map((r) => r.name)") == []
        assert driver.get_log("browser") == []
