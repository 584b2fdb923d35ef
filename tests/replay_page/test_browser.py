"""The page in a real browser: Debian's Chromium, headless, opened from the disk.

Graphics are computed in software there, so frames a second say nothing; what the page itself does for a frame is timed instead.
Tried once on broken code, each failed here: a blade's flapping the other way, the hand left out of the tail or of the bar's lead,
the hub's camera not turning, a request for a font, the second view at the first one's time.
"""

from __future__ import annotations

import contextlib
import dataclasses
import io
import os
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import paddlebar
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.result import Flight
from replay_page.conftest import CRAFT, scenario_of

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
DRIVER = shutil.which("chromedriver")

pytestmark = [
    pytest.mark.slow,
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None or DRIVER is None, reason="no Chromium with its driver: apt-get install chromium chromium-driver"),
]  # fmt: skip

POSE_M = 1e-3  # [m] how near the drawn craft must be to the recorded one
A_FRAME_MS = 1000.0 / 60.0
GRAIN = 8  # colours that any picture of the craft has at least

Driver = Any


@pytest.fixture(scope="module")
def browser() -> Iterator[Driver]:
    os.environ["SE_AVOID_STATS"] = "true"
    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    for word in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"):  # fmt: skip
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(DRIVER))
    yield driver
    driver.quit()


@pytest.fixture(scope="module")
def pages(run_file: Callable[..., Path], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    more = '[[mishap]]\nwhat = "tip mass lost"\nat_s = 0.1\narm = 2\n'
    short = fly_scenario(scenario_of({"run.duration_s": 0.3, "craft.bar.gain": -0.5}, title="the short one", more=more))
    return {
        **{name: paddlebar.replay(run_file(name), folder / f"{name}.html") for name in CRAFT},
        "moment": paddlebar.replay(first_samples(short, 1), folder / "moment.html"),
        "pair": paddlebar.replay([run_file("teetering"), short], folder / "pair.html"),
    }


def first_samples(flight: Flight, n: int) -> Flight:
    """The beginning of a flight."""
    own = {f.name: getattr(flight, f.name) for f in dataclasses.fields(flight)}
    cut = {name: values[:n] for name, values in own.items() if isinstance(values, np.ndarray)}
    return dataclasses.replace(flight, **cut, ledger={name: values[:n] for name, values in flight.ledger.items()})


@pytest.fixture
def show(browser: Driver, pages: dict[str, Path]) -> Iterator[Callable[..., Driver]]:
    """``show("teetering")`` opens that page; at the end nothing may have been complained of or asked for."""

    def opened(name: str, width: int = 960, height: int = 640, mobile: bool = False) -> Driver:
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": mobile}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        browser.get(pages[name].as_uri())
        assert browser.execute_script("return document.documentElement.dataset.ready") == "yes"
        return browser

    yield opened
    assert browser.get_log("browser") == []
    assert browser.execute_script("return performance.getEntriesByType('resource').map((r) => r.name)") == []


def scrub(driver: Driver, t: float) -> None:
    """What a hand on the slider does."""
    driver.execute_script(
        "const s = document.getElementById('scrub'); s.value = arguments[0]; s.dispatchEvent(new Event('input')); paddlebar.draw();",
        t,
    )


def press(driver: Driver, *keys: str) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    ActionChains(driver).send_keys(*keys).perform()
    driver.execute_script("paddlebar.draw()")


def shot(driver: Driver, selector: str = "#views") -> Image.Image:
    return Image.open(io.BytesIO(driver.find_element("css selector", selector).screenshot_as_png)).convert("RGB")


def eye_in(driver: Driver, frame: str, i: int = 0) -> np.ndarray[Any, Any]:
    """Matrix of the camera in the frame of a group of stage i ("body", "hub") or in the scene ("")."""
    code = f"const s = paddlebar.stages[{i}]; s.set.scene.updateMatrixWorld(); return [paddlebar.cameras.look(s, 1).matrixWorld.elements, "
    code += (f"s.set.craft.{frame}.matrixWorld.elements]" if frame else "null]") + ".map((m) => m && [...m]);"
    eye, group = (None if m is None else np.array(m).reshape(4, 4).T for m in driver.execute_script(code))
    assert eye is not None
    return eye if group is None else np.asarray(np.linalg.inv(group) @ eye)


@pytest.mark.parametrize("name", list(CRAFT))
def test_scrubbing_puts_the_craft_where_the_run_file_has_it(show, recorded, landmarks, name):
    """Datum, hub, tips of blades and bar, two axes of the body and the centre of gravity, at five recorded instants."""
    driver, flight = show(name), recorded(name)
    for k in np.linspace(0, flight.time.size - 1, 5).astype(int):
        scrub(driver, float(flight.time[k]))
        drawn, told = driver.execute_script("return paddlebar.landmarks()"), landmarks(flight, name, int(k))
        assert drawn.keys() == told.keys()
        for point, where in told.items():
            assert np.array(drawn[point]) == pytest.approx(np.array(where), abs=POSE_M), (
                f"{point} at {flight.time[k]} s"
            )


def test_between_samples_the_craft_moves_as_a_finer_flight_does(show, recorded):
    """Angle of the rotor half way between samples against the same flight sampled twenty times as finely."""
    driver, flight = show("teetering"), recorded()
    fine = fly_scenario(scenario_of({**CRAFT["teetering"], "run.max_step_s": 0.001}))
    for k in (4, 12, 30):
        t = 0.5 * float(flight.time[k] + flight.time[k + 1])
        scrub(driver, t)
        azimuth, bar = driver.execute_script("const p = paddlebar.stages[0].pose; return [p.azimuth, p.barAngle]")
        assert azimuth == pytest.approx(np.interp(t, fine.time, fine.rotor_azimuth), abs=2e-3)
        assert bar == pytest.approx(np.interp(t, fine.time, fine.bar_angle), abs=2e-3)


def test_the_tail_turns_about_its_thrust_in_the_rotor_s_sense(show, recorded):
    driver, flight = show("clockwise"), recorded("clockwise")
    scrub(driver, float(flight.time[20]))
    x, y, z, w = driver.execute_script("return paddlebar.stages[0].set.craft.tail.quaternion.toArray()")
    turned = 2.0 * np.arctan2(z, w) + flight.tail_angle[20]  # clockwise: backwards
    assert (x, y) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert np.cos(turned) == pytest.approx(1.0, abs=1e-6)


def test_cameras_ride_where_they_say(show, recorded):
    """On the body and on the hub nothing of the camera moves against it; following, it keeps its distance and its direction."""
    driver, flight = show("teetering"), recorded()
    times = [float(flight.time[k]) for k in (3, 17, 40)]

    def along(seat: str, frame: str) -> list[Any]:
        driver.find_element("css selector", f"[data-seat={seat}]").click()
        found = []
        for t in times:
            scrub(driver, t)
            found.append(eye_in(driver, frame))
        return found

    for seat in ("body", "hub"):
        first, *others = along(seat, seat)
        assert all(other == pytest.approx(first, abs=1e-9) for other in others), seat
    body_eyes = along("body", "hub")
    assert abs(body_eyes[1] - body_eyes[0]).max() > 0.01  # the hub does turn against that camera
    first, *others = along("follow", "")
    assert all(other[:3, :3] == pytest.approx(first[:3, :3], abs=1e-12) for other in others)
    hubs = []
    for t in times:
        scrub(driver, t)
        hubs.append(np.array(driver.execute_script("return paddlebar.landmarks().hub"))[[0, 2, 1]] * (1, -1, 1))
    assert [eye[:3, 3] - hub for eye, hub in zip([first, *others], hubs, strict=True)] == pytest.approx(np.array([first[:3, 3] - hubs[0]] * 3), abs=1e-9)  # fmt: skip
    first, *others = along("room", "")
    assert all(other == pytest.approx(first, abs=1e-12) for other in others)
    down = along("above", "")[0][:3, 2]
    assert down == pytest.approx((0.0, 1.0, 0.0), abs=1e-3)  # it looks against its own z


def test_mouse_and_keys_move_the_camera(show):
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    driver = show("teetering")
    start = eye_in(driver, "")
    ActionChains(driver).drag_and_drop_by_offset(driver.find_element("id", "reach"), 120, 30).perform()
    dragged = eye_in(driver, "")
    assert abs(dragged - start).max() > 0.05
    for keys in ((Keys.SHIFT, Keys.ARROW_LEFT), (Keys.SHIFT, Keys.ARROW_UP)):
        before = eye_in(driver, "")
        ActionChains(driver).key_down(keys[0]).send_keys(keys[1]).key_up(keys[0]).perform()
        assert abs(eye_in(driver, "") - before).max() > 0.01
    press(driver, "+")
    press(driver, "0")
    assert eye_in(driver, "") == pytest.approx(start, abs=1e-9)


def test_fingers_move_the_camera(show):
    """One finger goes round, two come nearer."""
    driver = show("teetering", 400, 800, True)
    driver.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})
    reach = driver.find_element("id", "reach").rect
    x, y = reach["x"] + reach["width"] / 2, reach["y"] + reach["height"] / 2

    def touch(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": px, "y": py, "id": i} for i, (px, py) in enumerate(places)]
        driver.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def distance() -> float:
        return float(
            driver.execute_script("const c = paddlebar.cameras; return c.orbit.position.distanceTo(c.controls.target)")
        )

    start, far = eye_in(driver, ""), distance()
    touch("touchStart", (x, y))
    touch("touchMove", (x + 60, y + 10))
    touch("touchEnd")
    assert abs(eye_in(driver, "")[:3, :3] - start[:3, :3]).max() > 0.05
    assert distance() == pytest.approx(far)
    touch("touchStart", (x - 20, y), (x + 20, y))
    touch("touchMove", (x - 60, y), (x + 60, y))
    touch("touchEnd")
    assert distance() < 0.6 * far
    driver.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": False})


def test_everything_has_a_key(show, recorded):
    from selenium.webdriver.common.keys import Keys

    driver, flight = show("teetering"), recorded()

    def now() -> float:
        return float(driver.execute_script("return paddlebar.clock.now"))

    press(driver, Keys.END)
    assert now() == flight.time[-1]
    press(driver, Keys.HOME)
    assert now() == flight.time[0]
    press(driver, ".", ".", ".", ",")
    assert now() == flight.time[2]
    press(driver, Keys.ARROW_RIGHT)
    assert now() == pytest.approx(flight.time[2] + 0.1, abs=1e-12)
    press(driver, Keys.ARROW_LEFT)
    for number, seat in enumerate(("follow", "room", "body", "hub", "above"), 1):
        press(driver, str(number))
        assert driver.execute_script("return paddlebar.cameras.seat") == seat
    for letter, name in zip("dbhtf", ("disc", "bar", "horizon", "trails", "forces"), strict=True):
        before = driver.execute_script("return paddlebar.shown[arguments[0]]", name)
        press(driver, letter)
        assert driver.execute_script("return paddlebar.shown[arguments[0]]", name) is not before
        button = driver.find_element("css selector", f"[data-shows={name}]")
        assert button.get_attribute("aria-pressed") == str(not before).lower()
    for playing in (True, False):
        press(driver, " ")
        assert driver.execute_script("return paddlebar.clock.playing") is playing
    press(driver, "s", "s", "s", "w")
    assert driver.execute_script("return paddlebar.clock.speed") == pytest.approx(0.2)
    theme = driver.execute_script("return document.documentElement.dataset.theme")
    held = driver.execute_script("return paddlebar.memory()")
    press(driver, "n")
    assert driver.execute_script("return document.documentElement.dataset.theme") != theme
    press(driver, *"nnnn")
    assert driver.execute_script("return paddlebar.memory()") <= held  # what was drawn by day is given back at night
    listed = {cap.text for cap in driver.find_elements("css selector", "#keylist kbd")}
    assert {"Space", ",", ".", "Home", "End", "1", "5", "d", "n", "?"} <= listed


def test_it_plays_at_the_speed_asked_for_and_stops_at_the_end(show):
    from selenium.webdriver.support.ui import Select

    driver = show("teetering")
    Select(driver.find_element("id", "speed")).select_by_value("0.1")
    begun = time.perf_counter()
    driver.find_element("id", "play").click()
    reached, playing = 0.0, True
    while (
        reached <= 0.02 and time.perf_counter() - begun < 20.0
    ):  # behind where frames take longer than a tenth of a second
        time.sleep(0.2)
        reached, playing = driver.execute_script("return [paddlebar.clock.now, paddlebar.clock.playing]")
    passed = time.perf_counter() - begun
    assert playing
    assert 0.02 < reached < 0.1 * passed + 0.01  # never ahead
    Select(driver.find_element("id", "speed")).select_by_value("1")
    deadline = time.monotonic() + 20.0
    while driver.execute_script("return paddlebar.clock.playing") and time.monotonic() < deadline:
        time.sleep(0.1)
    assert driver.execute_script("return [paddlebar.clock.playing, paddlebar.clock.now === paddlebar.clock.last]") == [
        False,
        True,
    ]
    assert driver.find_element("id", "play").text == "Play"
    assert "seconds" in driver.find_element("id", "said").get_attribute("textContent")


def test_two_flights_stand_side_by_side_under_one_clock(show, recorded, landmarks):
    driver, flight = show("pair"), recorded()
    k = int(np.searchsorted(flight.time, 0.5))
    scrub(driver, float(flight.time[k]))
    both = driver.execute_script("return [0, 1].map((i) => paddlebar.landmarks(i))")
    assert np.array(both[0]["blades"]) == pytest.approx(
        np.array(landmarks(flight, "teetering", k)["blades"]), abs=POSE_M
    )
    last = driver.execute_script("const s = paddlebar.stages[1]; return [s.pose.time, s.track.last]")
    assert last[0] == last[1] == pytest.approx(0.3)  # the shorter one waits where it ended
    assert "ended at 0.30 s" in driver.find_elements("css selector", ".reading")[1].text
    boxes = [view.rect for view in driver.find_elements("css selector", ".view")]
    assert boxes[0]["x"] + boxes[0]["width"] <= boxes[1]["x"] + 0.5
    scrub(driver, 0.15)
    picture = shot(driver)
    half = picture.width // 2
    for side in (picture.crop((0, 0, half, picture.height)), picture.crop((half, 0, picture.width, picture.height))):
        assert len(side.getcolors(1_000_000) or []) > GRAIN
    values = [each.text for each in driver.find_elements("css selector", ".value")]
    assert len(values) == 5
    assert all(text.startswith("A ") and " B " in text for text in values)


def test_the_picture_shows_the_craft_and_changes_with_what_is_shown(show):
    driver = show("teetering")
    scrub(driver, 0.4)
    seen = shot(driver)
    assert len(seen.getcolors(1_000_000) or []) > GRAIN
    for letter in "dbhtf":
        press(driver, letter)
        other = shot(driver)
        assert other.tobytes() != seen.tobytes(), letter
        seen = other


def test_words_in_the_picture_keep_clear_of_one_another(show):
    """From far away most are left out; what is shown overlaps nothing, the names of the flights included."""
    driver = show("pair")
    press(driver, "f")
    left = []
    for _ in range(3):
        for view in driver.execute_script("""
            paddlebar.draw();
            return paddlebar.stages.map((stage, i) => {
              const view = document.querySelectorAll('.view')[i].getBoundingClientRect();
              const eye = paddlebar.cameras.look(stage, view.width / view.height);
              return stage.labels().filter((l) => { for (let a = l; a; a = a.parent) if (!a.visible) return false; return true; }).map((l) => {
                const at = l.getWorldPosition(l.position.clone()).project(eye);
                return [(at.x + 1) / 2 * view.width, (1 - at.y) / 2 * view.height, l.userData.wide, l.userData.high];
              });
            });
        """):
            left.append(len(view))
            for i, (x, y, wide, high) in enumerate(view):
                for other_x, other_y, other_wide, other_high in view[:i]:
                    assert (
                        abs(x - other_x) >= 0.5 * (wide + other_wide) - 1e-6
                        or abs(y - other_y) >= 0.5 * (high + other_high) - 1e-6
                    )
        press(driver, *"----")
    assert left[0] > left[-1] > 0


def test_each_flight_has_its_own_room_around_its_own_launch(show):
    driver = show("pair")
    press(driver, "2")
    eyes = [eye_in(driver, "", i)[:3, 3] for i in range(2)]
    homes = [
        np.array(driver.execute_script(f"return paddlebar.stages[{i}].home.toArray()"))[[0, 2, 1]] * (1, -1, 1)
        for i in range(2)
    ]
    assert eyes[0] - homes[0] == pytest.approx(eyes[1] - homes[1], abs=1e-9)
    assert homes[0] == pytest.approx((0.0, 3.0, 0.0), abs=1e-6)  # launched 3 m up; the datum of this craft is its hub


def test_a_flight_of_one_sample_stands_still(show):
    driver = show("moment")
    press(driver, "t", "f", " ", ".")
    assert np.isfinite(np.array(driver.execute_script("return paddlebar.landmarks().blades"))).all()
    assert driver.execute_script("return paddlebar.clock.now") == 0.0


def test_a_touch_on_a_chart_goes_to_that_time(show):
    from selenium.webdriver.common.action_chains import ActionChains

    driver = show("teetering")
    chart = driver.find_element("css selector", "#strips canvas")
    ActionChains(driver).move_to_element_with_offset(chart, 20, 0).click().perform()
    left, right = 44, 4  # px, the margins of a chart
    share = (0.5 * chart.rect["width"] + 20 - left) / (chart.rect["width"] - left - right)
    assert driver.execute_script("return paddlebar.clock.now") == pytest.approx(0.8 * share, abs=0.005)


def test_events_lead_to_their_moment_and_what_is_lost_is_gone(show):
    driver = show("pair")
    there = "return ['tip mass lost 1', 'tip mass lost 2'].map((name) => paddlebar.stages[1].set.craft.losable[name].visible)"
    scrub(driver, 0.05)
    assert driver.execute_script(there) == [True, True]
    driver.find_element("css selector", ".events button").click()
    assert driver.execute_script("return paddlebar.clock.now") == pytest.approx(0.1, abs=1e-6)
    driver.execute_script("paddlebar.draw()")
    assert driver.execute_script(there) == [True, False]


def test_what_is_not_seen_can_be_heard(show):
    """Every control has a name, every picture a description."""
    driver = show("pair")
    scrub(driver, 0.2)
    press(driver, ".")
    tree = driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    roles = ("button", "slider", "combobox", "image", "img")
    nameless = [
        node["role"]["value"]
        for node in tree
        if not node.get("ignored")
        and node.get("role", {}).get("value") in roles
        and not node.get("name", {}).get("value", "").strip()
    ]
    assert nameless == []
    slider = driver.find_element("id", "scrub")
    assert slider.get_attribute("aria-valuetext").endswith(" seconds")
    assert "tilt" in driver.find_element("id", "said").get_attribute("textContent")
    assert "body (shaft)" in driver.find_element("css selector", "#levels canvas").get_attribute("aria-label")


@pytest.mark.parametrize("name", ["teetering", "pair"])
def test_a_telephone_shows_it_without_moving_sideways(show, name):
    driver = show(name, 400, 800, True)
    assert driver.execute_script("return document.documentElement.scrollWidth") <= 400
    boxes = [view.rect for view in driver.find_elements("css selector", ".view")]
    assert all(box["width"] > 300 and box["height"] > 150 for box in boxes)
    small = driver.execute_script(
        "return [...document.querySelectorAll('button, select')].map((b) => b.getBoundingClientRect()).filter((b) => b.height && b.height < 28).length"
    )
    assert small == 0


def test_a_frame_leaves_time_to_draw_it(show):
    """What the page computes for a frame, everything shown, both flights: far below a sixtieth of a second, graphics apart."""
    driver = show("pair")
    press(driver, "t", "f")
    spent = driver.execute_script("""
        const spent = [];
        for (let i = 0; i < 60; i++) {
          const begun = performance.now();
          const t = 0.8 * i / 60;
          for (const stage of paddlebar.stages) { stage.move(t, paddlebar.shown); stage.set.scene.updateMatrixWorld(); }
          spent.push(performance.now() - begun);
        }
        return spent.sort((a, b) => a - b)[30];
    """)
    assert spent < 0.5 * A_FRAME_MS


def test_without_graphics_words_and_figures_remain(browser, pages):
    """No WebGL: a sentence says so, the figures stand."""
    script = "HTMLCanvasElement.prototype.getContext = () => null;"
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": script})
    try:
        browser.get(pages["teetering"].as_uri())
        assert browser.execute_script("return document.documentElement.dataset.ready") == "no"
        assert "cannot be drawn here" in browser.find_element("id", "trouble").text
        assert "peak height" in browser.find_element("id", "figures").text
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", {"identifier": added["identifier"]})
        with contextlib.suppress(Exception):
            browser.get_log("browser")  # what it complained of there belongs to this test alone
