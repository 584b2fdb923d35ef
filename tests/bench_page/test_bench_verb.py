"""The verb as a program of its own: it says where it is, and ends when it should."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request

import pytest

from hard.commands import ENVIRONMENT
from paddlebar.bench_page.serve import serve
from paddlebar.errors import BadInput

pytestmark = [pytest.mark.slow, pytest.mark.skipif(sys.platform == "win32", reason="signals of its own")]


def begun(folder, *words):
    return subprocess.Popen(
        [sys.executable, "-m", "paddlebar", "bench", "hop.toml", "--no-browser", *words],
        cwd=folder, env=ENVIRONMENT, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 0), (signal.SIGTERM, 143)])
def test_a_signal_ends_it_at_once_and_leaves_nothing(folder, number, code):
    before = sorted(folder.iterdir())
    process = begun(folder)
    address = process.stdout.readline().removeprefix("bench: ").strip()
    with urllib.request.urlopen(address) as answer:
        assert answer.status == 200
    process.send_signal(number)
    out, err = process.communicate(timeout=60)
    assert process.returncode == code
    assert "Traceback" not in err
    assert ("bench: closed, Ctrl-C" in out) == (code == 0)
    assert sorted(folder.iterdir()) == before
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(address)


def test_as_json_the_address_goes_to_the_other_stream(folder):
    process = begun(folder, "--json")
    try:  # a slow machine says first how long it has been compiling
        said = next(line for line in process.stderr if not line.startswith("paddlebar: "))
    finally:
        process.send_signal(signal.SIGINT)
        out, _ = process.communicate(timeout=60)
    assert said.startswith("bench: http://127.0.0.1:")
    assert json.loads(out)["ended"] == "Ctrl-C"


def test_it_is_reached_from_this_computer_alone(bench):
    """Bound to the loop-back address: what comes in by another one finds nobody."""
    seen = []

    def ready(address):
        port = int(address.split(":")[2].split("/")[0])
        own = socket.gethostbyname(socket.gethostname())
        if not own.startswith("127."):
            with pytest.raises(ConnectionRefusedError), socket.create_connection((own, port), timeout=2.0):
                pass
        with socket.create_connection(("127.0.0.1", port), timeout=2.0):
            seen.append(port)

    assert serve(bench, first_s=0.5, ready=ready) == "nobody opened the page"
    assert seen


def test_a_port_that_is_taken_costs_a_sentence(bench):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(BadInput, match=r"--port: \d+ cannot be had"):
            serve(bench, taken.getsockname()[1])


@pytest.mark.parametrize(
    ("words", "says"), [(("gone.toml",), "gone.toml"), (("hop.toml", "--set", "craft.bar.gian=1"), "gian")]
)
def test_bad_input_is_one_line(folder, words, says):
    found = subprocess.run(
        [sys.executable, "-m", "paddlebar", "bench", *words, "--no-browser"],
        cwd=folder, env=ENVIRONMENT, text=True, capture_output=True, check=False, timeout=60,
    )  # fmt: skip
    assert found.returncode == 2
    assert says in found.stderr
    assert found.stderr.count("\n") == 1
    assert found.stdout == ""
