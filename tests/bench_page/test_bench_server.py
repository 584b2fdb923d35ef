"""The server: what it answers, and whom it turns away. Tried once without each guard, every row failed."""

from __future__ import annotations

import json
import struct
import threading

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import paddlebar
from bench_page.conftest import HOST
from paddlebar.bench_page.messages import LARGEST_B
from small_files import small_files


def unpacked(content):
    (long,) = struct.unpack_from("<I", content)
    return json.loads(content[4 : 4 + long]), content[4 + long :]


def test_a_moved_slider_is_flown(ask, at, bench):
    answer = ask("/fly", moved=[[at("craft.bar.gain"), 0.3], [at("craft.rotor.chord_mm"), 33.0]])
    header, block = unpacked(answer.content)
    assert answer.status_code == 200
    assert header["values"][at("craft.bar.gain")] == 0.3
    assert (
        header["values"][at("craft.rotor.blade_mass_g")] > bench.plain.craft.rotor.blade_mass_g
    )  # wider blades weigh more
    last = header["run"]["columns"][-1]
    assert len(block) >= last["offset"] + 4 * header["run"]["samples"]
    assert (4 + len(json.dumps(header))) >= 8
    assert all(column["offset"] % 8 == 0 for column in header["run"]["columns"])


@pytest.mark.parametrize(
    ("headers", "says"),
    [
        ({"x-bench-token": ""}, "token"),
        ({"x-bench-token": "x" * 32}, "token"),
        ({"x-bench-token": b"\xc3\xa4"}, "token"),
        ({"origin": "http://elsewhere.example"}, "another page"),
        ({"origin": "null"}, "another page"),
        ({"origin": ""}, "another page"),
        ({"origin": f"https://{HOST}"}, "another page"),
        ({"host": "elsewhere.example:8123"}, "address"),
        ({"host": "127.0.0.1"}, "address"),
        ({"sec-fetch-site": "cross-site"}, "another page"),
    ],
)
@pytest.mark.parametrize("path", ["/fly", "/save", "/alive", "/nothing"])
def test_who_is_not_the_page_is_turned_away(ask, folder, path, headers, says):
    before = sorted(folder.iterdir())
    answer = ask(path, headers=headers, name="mine") if path == "/save" else ask(path, headers=headers)
    assert answer.status_code == 403
    assert says in answer.text
    assert sorted(folder.iterdir()) == before


@pytest.mark.parametrize(
    "address", ["/", "/?t=", "/?t=wrong", "/../../etc/passwd", "/craft.toml?t={token}", "/fly?t={token}"]
)
def test_the_page_is_given_to_none_without_its_token(ask, served, address):
    answer = ask.get(address.format(token=served.token))
    assert answer.status_code in (403, 404)
    assert served.token not in answer.text


def test_the_page_forbids_itself_everything_else(ask, served):
    answer = ask.get(f"/?t={served.token}")
    assert answer.status_code == 200
    rules = answer.headers["content-security-policy"]
    for rule in ("default-src 'none'", "connect-src 'self'", "frame-ancestors 'none'"):
        assert rule in rules
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert served.token not in answer.text  # it stands in the address alone


@pytest.mark.parametrize(
    ("raw", "status"),
    [
        (b"", 400),
        (b"[]", 400),
        (b"{", 400),
        (b"\xff\xfe", 400),
        (b'{"page":"test","number":1,"moved":[["craft.bar.gain",1]]}', 400),
        (b'{"page":"test","number":1,"moved":[[0,NaN]]}', 400),
        (b'{"page":"test","number":1,"moved":[[0,1e999]]}', 400),
        (b'{"page":"test","number":1,"moved":[[-1,1]]}', 400),
        (b'{"page":"test","number":1,"moved":[[999,1]]}', 400),
        (b'{"page":"test","number":1,"taken":77}', 400),
        (b'{"page":"test","number":1,"path":"/etc/passwd"}', 400),
        (b'{"page":"../x","number":1}', 400),
        (b"[" * 10_000, 400),
        (b" " * (LARGEST_B + 1), 413),
    ],
)
def test_a_message_that_makes_no_sense_is_refused(ask, raw, status):
    assert ask("/fly", raw=raw).status_code == status


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.sampled_from(["page", "number", "taken", "moved", "short", "x", "y", "name"]),
        st.recursive(st.none() | st.booleans() | st.floats() | st.text(max_size=8) | st.integers(), lambda s: st.lists(s, max_size=4), max_leaves=8),
    )
)  # fmt: skip
def test_any_message_gets_an_answer(ask, message):
    """No traceback, whatever is sent: TestClient would raise it."""
    for path in ("/fly", "/save", "/map"):
        answer = ask(path, raw=json.dumps(message).encode())
        assert answer.status_code in (200, 400)


def test_a_bad_value_costs_the_sentence_of_the_file_check(ask, at, folder):
    said = ask("/fly", moved=[[at("craft.rotor.collective_deg"), 200.0]]).json()["bad"]
    with pytest.raises(paddlebar.BadInput) as complaint:
        paddlebar.load_scenario(folder / "hop.toml", {"craft.rotor.collective_deg": 200.0})
    assert said == str(complaint.value).removeprefix("overrides: ")


def test_of_two_flights_only_the_later_is_flown(ask, served, at):
    """While the flight thread is busy, the first question is overtaken by a second one of the same page; another page's stands."""
    gate = threading.Event()
    served.flights.submit(gate.wait)
    found = {}

    def send(name, page, number):
        found[name] = ask("/fly", page=page, number=number, moved=[[at("craft.bar.gain"), 0.4]])

    threads = [threading.Thread(target=send, args=each) for each in (("old", "test", 1), ("other", "page2", 1))]
    for thread in threads:
        thread.start()
    while len(served.latest) < 2:
        threading.Event().wait(0.01)
    threads.append(threading.Thread(target=send, args=("new", "test", 2)))
    threads[-1].start()
    while served.latest["test", "/fly"] != 2:
        threading.Event().wait(0.01)
    gate.set()
    for thread in threads:
        thread.join()
    assert found["old"].json() == {"dropped": True}
    assert unpacked(found["new"].content)[0]["run"]["samples"] > 10
    assert unpacked(found["other"].content)[0]["run"]["samples"] > 10


@pytest.mark.parametrize("room", [0, 300, 2500])
def test_a_full_disk_leaves_nothing_of_what_was_to_be_saved(ask, folder, room):
    """Bytes that a file may have: none, less than either file, less than the craft's alone. Then there is room again, and it is written."""
    before = {path: path.read_bytes() for path in folder.iterdir()}
    with small_files(room):
        said = ask("/save", name="roomless").json()
    assert said["bad"].startswith("cannot be written: ")
    assert {path: path.read_bytes() for path in folder.iterdir()} == before
    assert len(ask("/save", name=f"room{room}").json()["files"]) == 2


def test_a_folder_that_is_gone_is_said_and_the_page_goes_on(ask, bench, folder, monkeypatch):
    monkeypatch.setattr(bench, "file", folder / "gone" / "flight.toml")
    assert ask("/save", name="nowhere").json()["bad"].startswith("cannot be written: ")
    assert ask("/look").status_code == 200


def test_what_is_saved_stands_beside_the_first_and_loads_to_the_same(ask, at, bench, folder):
    moved = [[at("craft.bar.gain"), 0.3], [at("skein.turns"), 210.0]]
    before = {path: path.read_bytes() for path in folder.iterdir()}
    assert ask("/save", moved=moved, name="mine").json() == {"files": ["mine.toml", "mine-flight.toml"]}
    assert paddlebar.load_scenario(folder / "mine-flight.toml") == bench.scenario(0, [(k, v) for k, v in moved])
    assert "was 0.46" in (folder / "mine.toml").read_text(encoding="utf-8")
    assert "exists already" in ask("/save", moved=moved, name="mine").json()["bad"]
    for name in ("../mine", "a/b", "", "con", "hop.toml", "x" * 50, "\u00e4"):
        assert "name: should be" in ask("/save", name=name).json()["bad"]
    assert ask("/save", name="craft").json()["bad"].startswith("craft.toml: exists already")
    assert {path: path.read_bytes() for path in before} == before
    assert set(folder.iterdir()) - before.keys() == {folder / "mine.toml", folder / "mine-flight.toml"}


def test_advice_is_taken_by_its_number(ask, at):
    wrong = [[at("craft.bar.gain"), 0.2], [at("craft.tail.pitch_deg"), 4.0]]
    told = ask("/advise", moved=wrong).json()
    assert told["suggestions"], told
    header, _ = unpacked(ask("/fly", taken=told["suggestions"][0]["take"]).content)
    assert header["values"][at("craft.bar.gain")] == 0.2 or "gain" in told["suggestions"][0]["words"]


def test_sharing_gives_a_page_without_a_server(ask, at):
    page = ask("/share", moved=[[at("craft.bar.gain"), 0.3]]).text
    assert page.startswith("<!doctype html>")
    assert "pinned" in page
    assert "changed" in page


def test_a_map_of_two_sliders(ask, at):
    told = ask("/map", x=at("craft.bar.gain"), y=at("craft.bar.lead_deg")).json()
    assert len(told["controlled_s"]) == len(told["y"]) == len(told["x"]) == 9
    assert max(max(row) for row in told["controlled_s"]) <= told["most_s"]
