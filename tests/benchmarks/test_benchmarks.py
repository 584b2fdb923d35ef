"""Every benchmark runs, once; no figure is judged here, because a busy machine is no failure."""

from __future__ import annotations

import contextlib
import itertools
import json
import math
from collections.abc import Iterator
from pathlib import Path

import numba
import pytest

from benchmarks import (
    operations,
    time_cost,
    time_ensemble,
    time_flight,
    time_rhs,
    time_solvers,
    time_start,
    time_study,
)

MODULES = (time_cost, time_ensemble, time_flight, time_rhs, time_solvers, time_start, time_study)


def benchmarks() -> Iterator[tuple[type, str]]:
    for module in MODULES:
        for kind in vars(module).values():
            if isinstance(kind, type) and kind.__module__ == module.__name__:
                yield from ((kind, name) for name in vars(kind) if name.startswith(("time_", "track_")))


def kept_code() -> str:
    """Where this process has its compiled code; the same place for a process that is told of it."""
    return str(Path(numba.config.CACHE_DIR).parent)


@pytest.mark.parametrize(
    ("kind", "name"), [pytest.param(*each, id=f"{each[0].__name__}.{each[1]}") for each in benchmarks()]
)
def test_it_runs(kind, name, monkeypatch):
    monkeypatch.setattr(time_ensemble, "FLIGHTS", 4)
    monkeypatch.setattr(time_study, "SIDE", 2)
    monkeypatch.setattr(time_start, "TIMES", 1)
    # a minute of compiling, which README's first command does in .ci/run, and tests/benchmarks/report.py measures
    monkeypatch.setattr(time_start, "NOTHING_COMPILED", lambda: contextlib.nullcontext(kept_code()))
    monkeypatch.setattr(time_cost, "MANY", 4)
    if "mujoco" in name:
        pytest.importorskip("mujoco")
    values = getattr(kind, "params", None)
    first = () if values is None else tuple(itertools.islice(values, 1))
    bench = kind()
    getattr(bench, "setup", lambda *_: None)(*first)
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


def test_counted_numbers_compute_what_floats_do_and_count_it():
    a, b = operations.Counted(3.0), operations.Counted(-0.5)
    operations.COUNT.clear()
    assert float((2.0 - a * b) / abs(b) + operations.CountingMath().sqrt(a + 1)) == (2.0 + 1.5) / 0.5 + 2.0
    assert max(a, b) is a
    assert operations.COUNT == {"add": 3, "multiply": 1, "divide": 1, "sqrt": 1, "compare": 1}
    with pytest.raises(AttributeError):
        operations.CountingMath().erf(a)
