"""What the benchmarks share: the scenarios, a state in mid-flight, a fresh process."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, build
from paddlebar.ensemble import many as ensemble
from paddlebar.files.load import load_scenario
from paddlebar.flight import launch, rhs

ROOT = Path(__file__).resolve().parents[2]
SCENARIOS = ROOT / "scenarios"

Array = NDArray[np.float64]


def in_flight(seconds: float = 3.0, overrides: Mapping[str, object] | None = None) -> tuple[Numbers, Array]:
    """The shipped craft (2 blades of 8 elements, bar, tail rotor) and its state after so long in the air."""
    scenario = load_scenario(SCENARIOS / "first-flight.toml", {"run.duration_s": seconds, **(overrides or {})})
    kept = ensemble.fly_brief(scenario, every=1).samples
    assert kept is not None
    numbers = build(scenario)
    launch.state(scenario, numbers)  # it writes the launch's hold into the numbers
    numbers.params[0]["base_locked"] = 0
    return numbers, np.ascontiguousarray(kept[-1, 1:])


def arguments(numbers: Numbers, y: Array) -> tuple[object, ...]:
    """Of rhs_into after the time, less the array that it writes to."""
    return y, numbers.params, numbers.tables, numbers.gusts, rhs.work_array()


def least(run: Callable[[], object], repeats: int = 7) -> float:
    """Seconds, least of some rounds: what other programs on the machine take is not ours."""
    times = []
    for _ in range(repeats):
        began = time.perf_counter()
        run()
        times.append(time.perf_counter() - began)
    return min(times)


def process(*words: str, timeout: float = 300.0, **environment: str) -> float:
    """Seconds that a fresh Python takes for some arguments."""
    kept = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT / "sim"), str(ROOT / "tests")]), "MPLBACKEND": "Agg"}
    began = time.perf_counter()
    subprocess.run(
        [sys.executable, *words],
        check=True,
        capture_output=True,
        cwd=ROOT,
        timeout=timeout,
        env={**kept, **environment},
    )
    return time.perf_counter() - began


def output(*words: str, **environment: str) -> str:
    """What a fresh Python prints."""
    kept = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT / "sim"), str(ROOT / "tests")])}
    done = subprocess.run(
        [sys.executable, *words], check=True, capture_output=True, cwd=ROOT, text=True, env={**kept, **environment}
    )
    return done.stdout
