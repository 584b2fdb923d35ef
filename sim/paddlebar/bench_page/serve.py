"""The bench on the loop-back address: from a description to an address, until Ctrl-C or until no page was open for a while."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Final

import uvicorn

from paddlebar.bench_page.bench import Bench
from paddlebar.bench_page.server import Served, application
from paddlebar.errors import BadInput

LOOPBACK: Final = "127.0.0.1"
IDLE_S: Final = 60.0  # without any page
FIRST_S: Final = 600.0  # until somebody opens it at all; own choice
LOOK_S: Final = 0.5


class _Quiet(uvicorn.Server):
    """Leaves signals to the program, whose own handling stands."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Nothing is captured."""
        yield


def listening(port: int) -> socket.socket:
    """A socket on the loop-back address; port 0: any free one. Raises BadInput for one that is taken."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    with suppress(OSError):
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((LOOPBACK, port))
    except OSError as error:
        found.close()
        raise BadInput(
            f"--port: {port} cannot be had ({error.strerror or error}); without --port a free one is taken"
        ) from error
    return found


def serve(
    bench: Bench | None, port: int = 0, *, idle_s: float = IDLE_S, first_s: float = FIRST_S, ready: Callable[[str], None] = lambda _: None
) -> str:  # fmt: skip
    """Serve until nobody looks any more; returns why it ended. KeyboardInterrupt goes through, when everything is closed.

    bench : None: the page begins with the questions of a craft of one's own, written where the program was started
    ready : told the address, once everything is compiled and the server answers
    """
    found = listening(port)
    number = found.getsockname()[1]
    served = Served(bench, hosts=frozenset({f"{LOOPBACK}:{number}", f"localhost:{number}"}))
    if bench is not None:
        bench.fly(0, [], False)  # the first flight compiles
    config = uvicorn.Config(
        application(served), log_level="critical", access_log=False, ws="none", lifespan="off",
        server_header=False, date_header=False, timeout_graceful_shutdown=2, h11_max_incomplete_event_size=16_384,
        limit_concurrency=64,
    )  # fmt: skip
    server = _Quiet(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [found]}, daemon=True)
    thread.start()
    try:
        while not server.started and thread.is_alive():
            time.sleep(0.01)
        ready(f"http://{LOOPBACK}:{number}/?t={served.token}")
        return _watched(served, thread, idle_s, first_s)
    finally:
        served.close()
        server.should_exit = True
        thread.join(5.0)
        found.close()


def _watched(served: Served, thread: threading.Thread, idle_s: float, first_s: float) -> str:
    """Waits. Looks are counted, not hours: a laptop that slept has not been idle for the night."""
    left, seen = first_s, False
    while thread.is_alive():
        time.sleep(LOOK_S)
        if served.open:
            left, seen = idle_s, True
            continue
        left -= LOOK_S
        if left <= 0.0:
            return "no page was open any more" if seen else "nobody opened the page"
    return "the server ended"
