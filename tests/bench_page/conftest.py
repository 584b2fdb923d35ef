"""A bench over a short flight, and a server that takes one address."""

from __future__ import annotations

import asyncio
import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from paddlebar.bench_page.bench import Bench
from paddlebar.bench_page.server import Served, application
from paddlebar.bench_page.source import loaded

ROOT = Path(__file__).parents[2]
HOST = "127.0.0.1:8123"
HOP = """craft = "craft.toml"
title = "a hop"
[skein]
turns = 200
[launch]
height_m = 1.2
[run]
duration_s = 1.5
rtol = 1e-4
blade_elements = 3
"""


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tmp_path = tmp_path_factory.mktemp("bench")
    shutil.copy(ROOT / "models" / "hall-ten.toml", tmp_path / "craft.toml")
    (tmp_path / "hop.toml").write_text(HOP, encoding="utf-8")
    return tmp_path


@pytest.fixture(scope="session")
def bench(folder: Path) -> Bench:
    return Bench(loaded(folder / "hop.toml", {}), folder / "hop.toml")


@pytest.fixture(scope="session")
def at(bench: Bench) -> Callable[[str], int]:
    """``at("craft.bar.gain")``: number of a control."""
    return lambda key: next(i for i, control in enumerate(bench.controls) if control.key == key)


@pytest.fixture
def served(bench: Bench) -> Iterator[Served]:
    found = Served(bench, hosts=frozenset({HOST}))
    yield found
    found.close()


class Client:
    """Sends to the application as a browser would, one event loop a question, so that several threads may ask."""

    def __init__(self, served: Served) -> None:
        self.app, self.token, self.count = application(served), served.token, iter(range(10**6))

    def get(self, address: str, method: str = "GET", **kwargs: Any) -> httpx.Response:
        async def sent() -> httpx.Response:
            async with httpx.AsyncClient(transport=httpx.ASGITransport(self.app), base_url=f"http://{HOST}") as client:
                return await client.request(method, address, **kwargs)

        return asyncio.run(sent())

    def __call__(
        self, path: str, *, raw: bytes | None = None, headers: dict[str, Any] | None = None, **message: Any
    ) -> httpx.Response:
        """What a page of ours sends, unless said otherwise."""
        usual = {"x-bench-token": self.token, "origin": f"http://{HOST}", **(headers or {})}
        kept = {name: value for name, value in usual.items() if value}
        body = json.dumps({"page": "test", "number": next(self.count), **message}).encode()
        return self.get(path, "POST", headers=kept, content=body if raw is None else raw)


@pytest.fixture
def ask(served: Served) -> Client:
    return Client(served)
