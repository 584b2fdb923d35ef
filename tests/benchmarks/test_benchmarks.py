"""Every benchmark runs, once; no figure is judged here, because a busy machine is no failure."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmarks import time_ensemble, time_flight, time_rhs, time_start

MODULES = (time_ensemble, time_flight, time_rhs, time_start)


def benchmarks() -> Iterator[tuple[type, str]]:
    for module in MODULES:
        for kind in vars(module).values():
            if isinstance(kind, type) and kind.__module__ == module.__name__:
                yield from ((kind, name) for name in vars(kind) if name.startswith(("time_", "track_")))


@pytest.mark.parametrize(
    ("kind", "name"), [pytest.param(*each, id=f"{each[0].__name__}.{each[1]}") for each in benchmarks()]
)
def test_it_runs(kind, name, monkeypatch):
    monkeypatch.setattr(time_ensemble, "FLIGHTS", 4)
    if "mujoco" in name:
        pytest.importorskip("mujoco")
    values = getattr(kind, "params", None)
    first = () if values is None else tuple(itertools.islice(values, 1))
    bench = kind()
    bench.setup(*first)
    figure = getattr(bench, name)(*first)
    assert name.startswith("time_") or (math.isfinite(figure) and figure > 0.0)


def test_every_file_of_benchmarks_is_run():
    here = Path(__file__).parent
    assert {path.stem for path in here.glob("time_*.py")} == {module.__name__.split(".")[-1] for module in MODULES}
    assert json.loads((here / "asv.conf.json").read_text())["benchmark_dir"] == "."


def test_every_tracked_figure_has_a_unit():
    assert [
        f"{kind.__name__}.{name}"
        for kind, name in benchmarks()
        if name.startswith("track_") and not hasattr(getattr(kind, name), "unit")
    ] == []
