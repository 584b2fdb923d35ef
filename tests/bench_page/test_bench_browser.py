"""The bench in a real browser, without a window. Graphics are computed in software there.

Tried once on broken code, each failed here: the scene not renewed, the pinned design moved along, undo without a flight, a saved design without
its changes, the sentence of a bad value left out.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import paddlebar
from bench_page.browser import CHROMIUM, DRIVER, chromium, open_page
from paddlebar.bench_page.bench import Bench
from paddlebar.bench_page.serve import serve

pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None or DRIVER is None, reason="no Chromium with its driver: apt-get install chromium chromium-driver"),
]  # fmt: skip

PATIENCE_S = 120.0
PHONE = 390
Driver = Any


@pytest.fixture(scope="module")
def browser() -> Iterator[Driver]:
    with chromium() as driver:
        yield driver


@pytest.fixture(scope="module")
def address(bench: Bench) -> Iterator[str]:
    """Served as the verb does; ends by itself when the last page is closed."""
    found, ended, ready = [], [], threading.Event()

    def hears(where: str) -> None:
        found.append(where)
        ready.set()

    thread = threading.Thread(target=lambda: ended.append(serve(bench, idle_s=4.0, first_s=PATIENCE_S, ready=hears)))
    thread.start()
    assert ready.wait(PATIENCE_S)
    with open_page(found[0]):
        yield found[0]
    thread.join(PATIENCE_S)
    assert ended == ["no page was open any more"]


@pytest.fixture
def page(browser: Driver, address: str, bench: Bench) -> Iterator[Page]:
    browser.get("about:blank")
    made = Page(browser, address, bench)
    made.open()
    yield made
    assert [entry for entry in browser.get_log("browser") if "favicon" not in entry["message"]] == []
    browser.execute_script("sessionStorage.clear()")


@pytest.fixture(scope="module", autouse=True)
def left(browser: Driver, address: str) -> Iterator[None]:
    """At the end the page is left, so that the server ends."""
    yield
    browser.get("about:blank")


class Page:
    """What a hand does on the page, and what it shows."""

    def __init__(self, driver: Driver, address: str, bench: Bench) -> None:
        self.driver, self.address, self.bench = driver, address, bench

    def open(self, width: int = 1280, height: int = 900, mobile: bool = False) -> None:
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": mobile}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        self.driver.get(self.address)
        self.until("return document.documentElement.dataset.ready === 'yes'")

    def until(self, script: str, *more: Any) -> Any:
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            found = self.driver.execute_script(script, *more)
            if found:
                return found
            time.sleep(0.05)
        raise AssertionError(f"never came: {script}")

    def at(self, key: str) -> int:
        return next(i for i, control in enumerate(self.bench.controls) if control.key == key)

    def seen(self) -> int:
        return int(self.driver.execute_script("return paddlebar.seen()"))

    def move(self, key: str, value: float, kind: str = "change") -> None:
        """The slider is moved and let go; waits for the flight."""
        before = self.seen()
        code = "const s = document.getElementById('control-' + arguments[0]); s.value = arguments[1]; s.dispatchEvent(new Event(arguments[2]));"
        self.driver.execute_script(code, self.at(key), value, kind)
        self.until("return paddlebar.seen() > arguments[0]", before)

    def click(self, name: str) -> None:
        self.driver.execute_script("document.getElementById(arguments[0]).click()", name)

    def text(self, name: str) -> str:
        return str(self.driver.execute_script("return document.getElementById(arguments[0]).textContent", name))

    def value(self, key: str) -> float:
        return float(
            self.driver.execute_script(
                "return Number(document.getElementById('control-' + arguments[0]).value)", self.at(key)
            )
        )

    def landmarks(self, t: float) -> dict[str, Any]:
        code = "paddlebar.clock.play(false); paddlebar.seek(arguments[0]); return paddlebar.landmarks();"
        found: dict[str, Any] = self.driver.execute_script(code, t)
        return found


def test_a_moved_slider_is_flown_and_drawn_beside_the_pinned_design(page):
    """The datum of the drawn craft is where `fly` has it, with the slider's value; the pale one stays where it was."""
    page.move("craft.rotor.collective_deg", 11.0)
    now, pinned = page.bench.scenario(0, [(page.at("craft.rotor.collective_deg"), 11.0)]), page.bench.plain
    t = 1.0
    drawn = page.landmarks(t)
    for scenario, place in ((now, drawn["datum"]), (pinned, page.driver.execute_script(
        "const p = paddlebar.stages[0].ghost.craft.body.position; return [p.x, p.y, p.z]"))):  # fmt: skip
        flight = paddlebar.fly(scenario)
        own = [np.interp(t, flight.time, flight.position[:, k]) for k in range(3)]
        assert place == pytest.approx(own, abs=2e-3)  # two methods, and a straight line between samples of mine
    assert np.hypot(*(np.array(drawn["datum"])[[0, 2]])) > 0.0
    assert "What differs: 1" in page.text("differs")
    assert page.value("craft.rotor.collective_deg") == 11.0


def test_a_measure_that_changes_the_drawing_changes_it(page):
    page.move("craft.rotor.radius_mm", 220.0)
    tip = "const c = paddlebar.stages[0].set.craft; return c.blades[0].tip.position.x + c.shape.blades.offset"
    assert page.driver.execute_script(tip) == pytest.approx(0.220, abs=1e-6)


def test_while_a_slider_is_dragged_the_first_seconds_are_flown(page):
    page.move("craft.rotor.collective_deg", 10.0, "input")
    assert page.text("verdict").startswith("The first seconds")
    assert page.driver.execute_script("return paddlebar.designs.past.length") == 0
    page.move("craft.rotor.collective_deg", 10.0)
    assert not page.text("verdict").startswith("The first seconds")
    assert page.driver.execute_script("return paddlebar.designs.past.length") == 1


def test_undo_redo_pin_and_reset(page):
    own = page.value("craft.bar.gain")
    page.move("craft.bar.gain", 0.3)
    before = page.seen()
    page.click("undo")
    page.until("return paddlebar.seen() > arguments[0]", before)
    assert page.value("craft.bar.gain") == own
    assert page.driver.execute_script("return paddlebar.stages[0].ghost") is None
    before = page.seen()
    page.click("redo")
    page.until("return paddlebar.seen() > arguments[0]", before)
    assert page.value("craft.bar.gain") == 0.3
    page.click("pin")
    assert page.text("which") == "the pinned design"
    assert "Nothing differs" in page.text("differs")
    before = page.seen()
    page.click("first")
    page.until("return paddlebar.seen() > arguments[0]", before)
    assert page.value("craft.bar.gain") == own
    assert "What differs: 1" in page.text("differs")


def test_a_bad_value_costs_its_sentence_and_the_flight_stays(page):
    key = "craft.rotor.collective_deg"
    before, samples = page.seen(), page.driver.execute_script("return paddlebar.stages[0].run.samples")
    field = "const f = document.querySelector(`[data-index=\"${arguments[0]}\"] input[type=text]`); f.value = arguments[1]; f.dispatchEvent(new Event('change'));"
    page.driver.execute_script(field, page.at(key), "200")
    said = page.until("return document.getElementById('bad-' + arguments[0]).textContent", page.at(key))
    with pytest.raises(paddlebar.BadInput) as complaint:
        paddlebar.load_scenario(page.bench.file, {key: 200.0})
    assert said == str(complaint.value).removeprefix("overrides: ")
    page.driver.execute_script(field, page.at(key), "wide")
    assert "should be a number, found wide" in page.text(f"bad-{page.at(key)}")
    assert page.seen() == before
    assert page.driver.execute_script("return paddlebar.stages[0].run.samples") == samples
    page.driver.execute_script(field, page.at(key), "10")
    page.until("return paddlebar.seen() > arguments[0]", before)
    assert page.driver.execute_script("return document.getElementById('bad-' + arguments[0]).hidden", page.at(key))


def test_advice_is_taken_with_one_click(page):
    page.move("craft.bar.gain", 0.2)
    page.move("craft.tail.pitch_deg", 4.0)
    page.click("advise")
    page.until("return document.querySelector('#advice button')")
    before, measure = page.seen(), "return Number(document.querySelector('[data-figure=controlled_s] td').textContent)"
    had = page.driver.execute_script(measure)
    page.driver.execute_script("document.querySelector('#advice button').click()")
    page.until("return paddlebar.seen() > arguments[0]", before)
    assert page.driver.execute_script("return paddlebar.designs.now.taken") > 0
    assert page.driver.execute_script(measure) >= had


def test_what_is_saved_flies_as_it_was_shown(page, folder):
    page.move("craft.rotor.collective_deg", 10.5)
    name = f"saved-{time.monotonic_ns()}"[:40]
    page.driver.execute_script("document.getElementById('savename').value = arguments[0]", name)
    page.click("save")
    page.until("return document.getElementById('saved').textContent.startsWith('written')")
    saved = Path(folder) / f"{name}-flight.toml"
    assert paddlebar.load_scenario(saved).craft.rotor.collective_deg == 10.5
    page.click("save")
    page.until("return document.getElementById('saved').textContent.includes('exists already')")


def test_lights_tail_and_balance_come_when_the_hand_rests(page):
    page.until("return document.querySelectorAll('#lights li').length === 5")
    assert "of the rotor's torque in hover" in page.text("tail")
    assert "from where it should be" in page.text("balance")
    assert "nose weight" in page.text("weights")
    page.until("return !document.getElementById('lights').classList.contains('waiting')")
    page.move("craft.bar.gain", 0.3)
    assert page.driver.execute_script("return document.getElementById('lights').classList.contains('waiting')")


def test_two_tabs_and_a_reload_keep_to_themselves(page):
    first = page.driver.current_window_handle
    page.move("craft.bar.gain", 0.3)
    page.driver.switch_to.new_window("tab")
    page.open()
    assert page.value("craft.bar.gain") == 0.46
    page.move("craft.bar.gain", 0.5)
    page.driver.close()
    page.driver.switch_to.window(first)
    assert page.value("craft.bar.gain") == 0.3
    page.driver.refresh()
    page.until("return document.documentElement.dataset.ready === 'yes'")
    assert page.value("craft.bar.gain") == 0.3
    assert page.driver.execute_script("return paddlebar.designs.past.length") == 1


def test_without_its_token_there_is_no_page(browser, address):
    browser.get(address.split("?", maxsplit=1)[0])
    assert "token is missing" in browser.find_element("css selector", "body").text
    browser.get_log("browser")  # it complains of the status, rightly


def test_another_page_gets_nothing(browser, address):
    """A page from elsewhere, even one that knows the token, asks in vain."""
    browser.get("data:text/html,<title>elsewhere</title>")
    token, base = address.split("?t=")[1], address.split("?", maxsplit=1)[0]
    code = """const done = arguments[arguments.length - 1];
      fetch(arguments[0] + 'fly', {method: 'POST', headers: {'x-bench-token': arguments[1]}, body: JSON.stringify({page: 'evil', number: 1})})
        .then((r) => done('answered ' + r.status), () => done('refused'));"""
    assert browser.execute_async_script(code, base, token) == "refused"
    browser.get_log("browser")


@pytest.mark.parametrize("dark", [False, True])
def test_a_telephone_shows_it_all(page, dark):
    page.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]})  # fmt: skip
    page.open(PHONE, 844, mobile=True)
    page.driver.execute_script("for (const d of document.querySelectorAll('details')) d.open = true")
    assert page.driver.execute_script("return document.documentElement.scrollWidth") <= PHONE
    small = """return [...document.querySelectorAll('button, input, select')].filter((e) => e.offsetParent && !e.closest('.skip'))
      .filter((e) => { const b = e.getBoundingClientRect(); return b.right > innerWidth + 1 || b.height < 24; }).map((e) => e.id || e.outerHTML)"""
    assert page.driver.execute_script(small) == []
    assert page.driver.execute_script("return document.documentElement.dataset.theme") == ("dark" if dark else "light")


def test_by_keyboard_alone(page):
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    def focus() -> str:
        return str(page.driver.execute_script("return document.activeElement.id"))

    wanted = f"control-{page.at('craft.rotor.collective_deg')}"
    for _ in range(200):
        ActionChains(page.driver).send_keys(Keys.TAB).perform()
        if focus() == wanted:
            break
    assert focus() == wanted
    before, own = page.seen(), page.value("craft.rotor.collective_deg")
    ActionChains(page.driver).send_keys(Keys.ARROW_RIGHT).perform()
    page.until("return paddlebar.designs.past.length === 1 && paddlebar.seen() > arguments[0]", before)
    assert page.value("craft.rotor.collective_deg") == pytest.approx(own + 0.1)
    ActionChains(page.driver).send_keys("u").perform()
    page.until("return paddlebar.designs.past.length === 0")
    page.until("return Math.abs(document.getElementById(arguments[0]).value - arguments[1]) < 1e-9", wanted, own)


def test_a_map_whose_dot_moves_the_design(page):
    page.click("map")
    page.until("return !document.getElementById('plane').hidden")
    before = page.seen()
    code = "document.getElementById('plane').dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true}))"
    page.driver.execute_script(code)
    page.until("return paddlebar.seen() > arguments[0]", before)
    assert page.value("craft.bar.gain") == pytest.approx(0.51, abs=1e-3)  # a fortieth of -1 to 1


def test_two_hundred_changes_leave_no_memory_behind(page):
    """Meshes and textures on the graphics card, with the ghost, over changes that rebuild the craft and such that do not."""
    found = []
    for k in range(24):
        page.move("craft.rotor.chord_mm", 28.0 + k % 5)
        page.move("craft.bar.gain", 0.3 + 0.01 * (k % 5))
        found.append(page.driver.execute_script("return paddlebar.memory()"))
    assert max(found[10:]) <= max(found[:10])  # twice round the five craft; what leaks goes on growing
