"""The bench without a craft: questions first, then the bench of what was sized, flown and written."""

from __future__ import annotations

import threading
import time

import pytest

from bench_page.browser import CHROMIUM, DRIVER, chromium, open_page
from bench_page.conftest import HOST, Client
from once import once
from paddlebar import load_scenario
from paddlebar.bench_page.serve import serve
from paddlebar.bench_page.server import Served

OWL = {"name": "owl", "weight_g": "9", "material": "balsa", "sense": "clockwise"}


@pytest.fixture(autouse=True)
def sized_once(monkeypatch):
    """The same owl is asked for here and in the browser."""
    once(monkeypatch, "paddlebar.bench_page.ask:size")


@pytest.fixture
def asking(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    served = Served(None, hosts=frozenset({HOST}))
    yield Client(served)
    served.close()


def test_the_first_page_asks_and_warns_and_is_guarded(asking):
    page = asking.get(f"/?t={asking.token}")
    assert page.status_code == 200
    for words in ("Rotor across", "eye protection", "carries a person", 'name="hall_m"', "clockwise"):
        assert words in page.text
    assert "sha256-" in page.headers["content-security-policy"]
    assert asking.get("/?t=wrong").status_code == 403
    assert asking("/begin", answers={}, headers={"origin": "http://elsewhere"}).status_code == 403
    assert asking("/begin", answers={}, headers={"x-bench-token": ""}).status_code == 403


def test_what_is_left_empty_is_proposed_to_fit_the_rest(asking):
    small, large = (asking("/proposed", answers={"rotor_mm": mm}).json()["proposed"] for mm in ("300", "500"))
    assert float(small["weight_g"]) < float(large["weight_g"])
    assert "x" in small["rubber"]


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"rotor_mm": "90"}, "rotor_mm: input should be greater than or equal to 150"),
        ({"rotor_mm": "wide"}, "rotor_mm: input should be a number, found 'wide'"),
        ({"rubber": "six"}, "such as 6x2x1"),
        ({"material": "steel"}, "'balsa' or 'printed'"),
        ({"wings": "2"}, "wings: no such key"),
        ({"name": "../x"}, "letters, digits, - and _ only"),
        ({"rubber": "20x4x1", "weight_g": "5"}, "the nearest that flies: --rubber"),
    ],
)
def test_what_is_no_answer_costs_its_sentence_and_nothing_is_written(asking, tmp_path, answers, says):
    assert says in asking("/begin", answers=answers).json()["bad"]
    assert list(tmp_path.iterdir()) == []
    assert asking("/fly").status_code == 400  # there is no craft yet


def test_answers_become_a_craft_that_flies_beside_nothing_that_was_there(asking, tmp_path):
    assert asking("/begin", answers=OWL).json() == {"begun": True}
    assert {path.name for path in tmp_path.iterdir()} == {"owl.toml", "owl-first-flight.toml"}
    assert load_scenario("owl-first-flight.toml").craft.shaft.turns == "clockwise"
    assert 'id="sliders"' in asking.get(f"/?t={asking.token}").text  # the bench itself
    again = Client(Served(None, hosts=frozenset({HOST})))
    assert "exists already" in again("/begin", answers={"name": "owl"}).json()["bad"]


@pytest.mark.parametrize(
    "answers", [{"a" * 30: "1"}, {"rotor_mm": "4" * 100}, {str(k): "1" for k in range(9)}, {"rotor_mm": 400}]
)
def test_what_no_page_of_ours_sends_is_turned_away(asking, answers):
    assert asking("/proposed", answers=answers).status_code == 400


@pytest.mark.slow
@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None or DRIVER is None, reason="no Chromium with its driver")
def test_in_a_browser_from_questions_to_sliders(tmp_path, monkeypatch):
    """A bad answer shows its sentence; then the page goes on to the bench of the craft that was written."""
    pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    monkeypatch.chdir(tmp_path)
    ready, where, ended = threading.Event(), [], []

    def hears(address: str) -> None:
        where.append(address)
        ready.set()

    thread = threading.Thread(target=lambda: ended.append(serve(None, idle_s=4.0, first_s=120.0, ready=hears)))
    thread.start()
    assert ready.wait(60.0)
    with open_page(where[0]), chromium() as driver:
        driver.set_window_size(390, 844)
        driver.get(where[0])
        driver.execute_script("document.getElementById('rotor_mm').value='90'; document.getElementById('go').click()")
        waited(driver, "return !document.getElementById('wrong').hidden")
        assert "150" in driver.execute_script("return document.getElementById('wrong').textContent")
        beside = "const f = document.getElementById('rotor_mm'); return f.getAttribute('aria-invalid') + f.nextElementSibling.id"
        assert driver.execute_script(beside) == "truewrong"
        assert driver.execute_script("return document.documentElement.scrollWidth <= innerWidth")
        driver.execute_script(
            "for (const [key, value] of Object.entries(arguments[0])) document.getElementById(key).value = value; document.getElementById('go').click()",
            {"rotor_mm": "", **OWL},
        )
        waited(driver, "return !!document.getElementById('sliders')")
        driver.get("about:blank")
    thread.join(60.0)
    assert ended == ["no page was open any more"]
    assert load_scenario(tmp_path / "owl-first-flight.toml").craft.shaft.turns == "clockwise"


def waited(driver, script: str) -> None:
    end = time.monotonic() + 120.0
    while not driver.execute_script(script):
        assert time.monotonic() < end, script
        time.sleep(0.2)
