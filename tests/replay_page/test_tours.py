"""Guided tours: each is whole, is offered where it suits, and leads the page where it says; and what *Why* shows is what was flown."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import paddlebar
from bench_page.browser import CHROMIUM, DRIVER, chromium
from paddlebar.replay_page.data import columns_of
from paddlebar.replay_page.tours import NEEDS, all_tours, tours_for

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "sim" / "paddlebar" / "replay_page" / "page" / "src"


@pytest.mark.parametrize("tour", all_tours(), ids=lambda tour: tour["name"])
def test_a_tour_is_whole(tour):
    player, cameras, clock = (
        (SOURCE / f"{name}.js").read_text(encoding="utf-8") for name in ("player", "cameras", "clock")
    )
    toggles = set(re.findall(r'\["(\w+)", ["`]', player))
    seats = set(re.findall(r'seat: "(\w+)"', cameras))
    speeds = [eval(each) for each in re.search(r"SPEEDS = \[(.+)\]", clock).group(1).split(",")]
    assert set(tour["needs"]) <= NEEDS.keys()
    assert len(tour["stops"]) >= 3
    for stop in tour["stops"]:
        assert stop["seat"] in seats
        assert set(stop["shows"]) <= toggles
        assert stop["speed"] in (0, *speeds)
        assert stop["says"].endswith((".", "colours."))
        assert len(stop["says"]) <= 220
    assert [stop["at"] for stop in tour["stops"]] == sorted(stop["at"] for stop in tour["stops"])


@pytest.mark.parametrize(
    ("name", "offered"),
    [
        ("first-flight", {"precession", "bar-plane", "tail"}),
        ("rigid-head", {"precession", "rigid-head", "tail"}),
        ("reversed-link", {"precession", "bar-plane", "reversed-link", "tail"}),
        ("bar-locks", {"precession", "bar-plane", "stuck-bar", "tail"}),
        ("no-bar", {"precession", "tail"}),
    ],
)
def test_a_tour_is_offered_where_it_shows_something(name, offered):
    scenario = paddlebar.load_scenario(ROOT / "scenarios" / f"{name}.toml")
    assert {tour["name"] for tour in tours_for(scenario)} >= offered
    assert ("rigid-head" in offered) == any(tour["name"] == "rigid-head" for tour in tours_for(scenario))


@pytest.mark.slow
@pytest.mark.browser
@pytest.mark.skipif(
    CHROMIUM is None or DRIVER is None, reason="no Chromium with its driver: apt-get install chromium chromium-driver"
)
def test_the_page_follows_a_tour_and_shows_what_was_flown(tmp_path):
    scenario = paddlebar.load_scenario(ROOT / "scenarios" / "first-flight.toml", {"run.duration_s": 5.0})
    flight = paddlebar.fly(scenario)
    columns = columns_of(flight, scenario.craft)
    page = paddlebar.replay(flight, tmp_path / "page.html")
    release = next(event.time_s for event in flight.events if event.name == "release")
    stops = next(tour for tour in all_tours() if tour["name"] == "precession")["stops"]
    with chromium() as driver:
        driver.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": 1000, "height": 800, "deviceScaleFactor": 1, "mobile": False},
        )
        driver.get(page.as_uri())
        driver.execute_script(
            "const c = document.getElementById('tour'); c.value = 'precession'; c.dispatchEvent(new Event('change'))"
        )
        for k, stop in enumerate(stops):
            if k:
                driver.execute_script("document.getElementById('tournext').click()")
            now, seat, playing = driver.execute_script(
                "return [paddlebar.clock.now, paddlebar.cameras.seat, paddlebar.clock.playing]"
            )
            assert now == pytest.approx(release + stop["at"], abs=0.1)
            assert seat == stop["seat"]
            assert playing == (stop["speed"] > 0)
            assert driver.execute_script("return document.getElementById('toursays').textContent").endswith(
                stop["says"]
            )
            assert driver.execute_script("return paddlebar.shown.why")
        for t in (release + 0.8, release + 1.6, release + 3.0):
            driver.execute_script("paddlebar.clock.play(false); paddlebar.seek(arguments[0])", t)
            spin, goes, torque, seen = driver.execute_script("""
              const w = paddlebar.stages[0].set.why;
              const along = (arrow) => { const v = w.group.position.clone().set(0, 1, 0).applyQuaternion(arrow.group.quaternion); return [v.x, v.y, v.z]; };
              return [along(w.spin), along(w.goes), along(w.torque), w.seen];""")
            hand = 1.0 if scenario.craft.shaft.turns == "counter-clockwise" else -1.0
            up = np.array([np.interp(t, flight.time, columns["shaft"][:, k]) for k in range(3)])
            assert spin == pytest.approx(hand * up, abs=2e-2)
            # the shaft's own movement over a fifth of a second, from the flight's directions alone
            ends = [[np.interp(at, flight.time, columns["shaft"][:, k]) for k in range(3)] for at in (t - 0.1, t + 0.1)]
            moved = hand * np.subtract(ends[1], ends[0])
            if np.linalg.norm(moved) > 0.004:  # where it moves at all
                assert np.dot(goes, moved / np.linalg.norm(moved)) > 0.95
                assert torque == pytest.approx(goes, abs=1e-9)
            # where pitch was largest within the last turn, in degrees before now
            turn = 2.0 * np.pi / abs(np.interp(t, flight.time, columns["rotor_speed"]))
            back = np.arange(0.0, 360.0, 1.0)
            pitch = np.interp(t - turn * back / 360.0, flight.time, columns["pitch"][:, 0])
            away = (seen["most"] - back[pitch.argmax()] + 180.0) % 360.0 - 180.0
            assert abs(away) <= 20.0  # samples of the ring stand 5 degrees apart, and a crest is flat
        assert driver.get_log("browser") == []
