"""The server of the bench: one page, some questions, all guarded; one flight at a time, of each page the latest only."""

from __future__ import annotations

import asyncio
import json
import secrets
from collections import OrderedDict
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from paddlebar.bench_page import messages
from paddlebar.bench_page.ask import ask_html, ask_policy, begun, proposed
from paddlebar.bench_page.bench import Bench, Unknown
from paddlebar.bench_page.html import bench_html, policy
from paddlebar.bench_page.rested import Watched, lights, looked_over, plane
from paddlebar.bench_page.saved import save
from paddlebar.ensemble.whole import Dropped, Wanted
from paddlebar.errors import BadInput, CannotTrim
from paddlebar.plain import plain

M = TypeVar("M", bound=messages.Message)

TOKEN_HEADER: Final = "x-bench-token"
MOST_PAGES: Final = 50  # whose latest message is remembered
HEART_S: Final = 5.0  # between signs of life
HEADERS: Final = {
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


@dataclass
class Served:
    """What the server knows besides the bench.

    bench : None until the first page's questions are answered
    token : in the page's address, and in a header of each message;  open : pages that are open;  seen : the time when the last one was
    """

    bench: Bench | None
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    hosts: frozenset[str] = frozenset()
    open: int = 0
    ending: bool = False
    latest: OrderedDict[tuple[str, str], int] = field(default_factory=OrderedDict)
    flights: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1, "flight"))
    studies: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(2, "study"))

    def newest(self, page: str, kind: str, number: int) -> Wanted:
        """Note a message; the answer says whether it is still the latest of its kind from its page."""
        key = (page, kind)
        self.latest[key] = max(number, self.latest.get(key, -1))
        self.latest.move_to_end(key)
        while len(self.latest) > 8 * MOST_PAGES:
            self.latest.popitem(last=False)
        return lambda: not self.ending and self.latest.get(key) == number

    def close(self) -> None:
        """Nothing more is begun, and what runs ends at its next look."""
        self.ending = True
        for pool in (self.flights, self.studies):
            pool.shutdown(wait=False, cancel_futures=True)


class Guard:
    """Turns away whoever is not the page: another host name, another origin, no token, too much to read."""

    def __init__(self, app: ASGIApp, served: Served) -> None:
        self.app, self.served = app, served

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":  # no page of ours opens a websocket
            return
        request = Request(scope)
        wrong = self._wrong(request)
        if wrong:
            await Response(f"bench: {wrong}\n", 403, HEADERS, "text/plain")(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _wrong(self, request: Request) -> str:
        host = request.headers.get("host", "").lower()
        if host not in self.served.hosts:
            return "this is not the address that was printed"
        asked = request.headers.get("sec-fetch-site", "none")
        if request.method == "GET" and request.url.path == "/":
            given = request.query_params.get("t", "")
        else:
            given = request.headers.get(TOKEN_HEADER, "")
            if request.headers.get("origin") not in (f"http://{host}", *([None] if request.method == "GET" else [])):
                return "another page asked for this"
            if asked not in ("same-origin", "none"):
                return "another page asked for this"
        if not secrets.compare_digest(given.encode(), self.served.token.encode()):
            return "the token is missing or wrong: open the whole address that was printed"
        return ""


class TooLong(Exception):
    """A message is longer than any page's."""


async def _read(request: Request, kind: type[M]) -> M:
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > messages.LARGEST_B:
            raise TooLong
    return kind.model_validate_json(body)


def application(served: Served) -> ASGIApp:
    """The whole of it, guarded."""

    def bench() -> Bench:
        if served.bench is None:
            raise Unknown
        return served.bench

    def answers(kind: type[M], pool: ThreadPoolExecutor, work: Callable[[M, Wanted], Any]) -> Callable[[Request], Any]:
        async def answer(request: Request) -> Response:
            try:
                message = await _read(request, kind)
            except TooLong:
                return JSONResponse({"refused": "the message is too long"}, 413, HEADERS)
            except ValidationError:
                return JSONResponse({"refused": "the message makes no sense"}, 400, HEADERS)
            wanted = served.newest(message.page, request.url.path, message.number)

            def begun() -> Any:
                if not wanted():
                    raise Dropped
                return work(message, wanted)

            try:
                found = await asyncio.get_running_loop().run_in_executor(pool, begun)
            except Exception as error:
                return _failed(error)
            if isinstance(found, bytes):
                return Response(found, 200, HEADERS, "application/octet-stream")
            return Response(json.dumps(plain(found), allow_nan=False), 200, HEADERS, "application/json")

        return answer

    def saved(m: messages.Save, _: Wanted) -> dict[str, Any]:
        changed, changes = bench().changed(m.taken, m.moved)
        files = save(bench().plain, changed, changes, bench().file.parent, m.name)
        return {"files": [file.name for file in files]}

    def shared(m: messages.Share, _: Wanted) -> bytes:
        return bench().share((m.first_taken, m.first_moved), (m.taken, m.moved)).encode("utf-8")

    async def page(_: Request) -> Response:
        if served.bench is None:
            return Response(ask_html(), 200, {**HEADERS, "Content-Security-Policy": ask_policy()}, "text/html")
        return Response(bench_html(bench()), 200, {**HEADERS, "Content-Security-Policy": policy()}, "text/html")

    def begin(m: messages.Given, _: Wanted) -> dict[str, Any]:
        if served.bench is None:  # a second page that asks too late goes on to what there is
            served.bench = begun(m.answers, Path())
        return {"begun": True}

    def propose(m: messages.Given, _: Wanted) -> dict[str, Any]:
        return {"proposed": proposed(m.answers)}

    async def alive(_: Request) -> Response:
        async def beats() -> AsyncIterator[bytes]:
            served.open += 1
            try:
                while not served.ending:
                    yield b"."
                    for _ in range(int(HEART_S / 0.25)):
                        if served.ending:
                            break
                        await asyncio.sleep(0.25)
            finally:
                served.open -= 1

        return StreamingResponse(beats(), 200, HEADERS, "text/plain")

    flights, studies, post = served.flights, served.studies, ["POST"]
    routes = [
        Route("/", page),
        Route("/alive", alive, methods=post),
        Route("/fly", answers(messages.Fly, flights, lambda m, w: bench().fly(m.taken, m.moved, m.short, w)), methods=post),
        Route("/look", answers(messages.Message, flights, lambda m, _: looked_over(bench(), m.taken, m.moved)), methods=post),
        Route("/lights", answers(messages.Message, studies, lambda m, w: lights(bench(), m.taken, m.moved, Watched(w))), methods=post),
        Route("/advise", answers(messages.Message, studies, lambda m, w: bench().advise(m.taken, m.moved, Watched(w))), methods=post),
        Route("/map", answers(messages.Plane, studies, lambda m, w: plane(bench(), m.taken, m.moved, m.x, m.y, w)), methods=post),
        Route("/save", answers(messages.Save, flights, saved), methods=post),
        Route("/proposed", answers(messages.Given, studies, propose), methods=post),
        Route("/begin", answers(messages.Given, flights, begin), methods=post),
        Route("/share", answers(messages.Share, flights, shared), methods=post),
    ]  # fmt: skip
    return Guard(Starlette(routes=routes), served)


def _failed(error: Exception) -> Response:
    """What went wrong, as the page shows it. Raises what nobody expected."""
    match error:
        case Unknown():
            return JSONResponse({"refused": "no such control"}, 400, HEADERS)
        case Dropped():
            return JSONResponse({"dropped": True}, 200, HEADERS)
        case BadInput() | CannotTrim():
            return JSONResponse({"bad": _as_read(str(error))}, 200, HEADERS)
        case OSError():
            return JSONResponse({"bad": f"cannot be written: {error.strerror or error}"}, 200, HEADERS)
    raise error


def _as_read(sentence: str) -> str:
    """The file check's sentence beside a field: where a value on the command line would stand says nothing there."""
    return sentence.removeprefix("overrides: ")
