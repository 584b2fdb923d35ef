"""Measures everything and prints the table of DEVELOPERS.md: PYTHONPATH=sim:tests python tests/benchmarks/report.py."""

from __future__ import annotations

import os
import platform
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from benchmarks import (
    time_ensemble,
    time_flight,
    time_rhs,
    time_start,
)  # modules: asv would take imported classes for ours

ROWS = (
    ("right-hand side, 2 blades x 8 elements, bar, tail: compiled loop", "<= 4 us", time_rhs.RightHandSide, "track_inner", "{:.2f} us", "twenty blade strips and paddles: angle, table look-up and square roots of each; then the mass matrix"),
    ("... called from Python", "", time_rhs.RightHandSide, "track_through_python", "{:.2f} us", "numba's check of five arguments, a new array"),
    ("... the same source uncompiled", "", time_rhs.Others, "track_plain_python", "{:.0f} times as long", ""),
    ("... MuJoCo, the same tree without air", "", time_rhs.Others, "track_mujoco", "{:.2f} times as long", "it computes no air"),
    ("flight by scipy, first-flight", ">= 100 times real time", time_flight.Flight, "track_real_time first-flight", "{:.0f} times", "a quarter equations, the rest scipy's stages and conditions in Python"),
    ("flight by scipy, long-flight", ">= 100 times real time", time_flight.Flight, "track_real_time long-flight", "{:.0f} times", "the same"),
    ("... evaluations in a second of flight", "", time_flight.Flight, "track_evaluations long-flight", "{:.0f}", "12 a step, steps of at most 20 ms (`max_step_s`): 600 at least"),
    ("many flights, two processes with their start", ">= 800 flight-s a second", time_ensemble.Ensemble, "track_two_processes", "{:.0f}", "evaluations, and 1 s until the workers have numba and scipy"),
    ("... two threads", "", time_ensemble.Ensemble, "track_two_threads", "{:.0f}", "evaluations; building a craft (3 ms) and reading it (6 ms) hold Python's lock"),
    ("... one worker", "", time_ensemble.Ensemble, "track_one_worker", "{:.0f}", "evaluations: nine tenths of the time"),
    ("... in a second of one processor's time", "", time_ensemble.Ensemble, "track_of_processor_time", "{:.0f}", ""),
    ("... evaluations in a second of flight", "", time_ensemble.Ensemble, "track_evaluations", "{:.0f}", "as above"),
    ("`import paddlebar`", "< 0.5 s", time_start.Start, "track_import", "{:.2f} s", "nothing is loaded before it is used"),
    ("... with all that flying needs", "", time_start.Start, "track_import_all", "{:.2f} s", "numba, scipy, pydantic, 0.2 s each"),
    ("`paddlebar --help`", "", time_start.Start, "track_help", "{:.2f} s", "click"),
    ("first flight on a machine, compilation, run file and pictures included", "< 20 s", time_start.Start, "track_first_flight", "{:.1f} s", "numba: 80 functions, 10 s of LLVM"),
    ("later flights, likewise", "< 2 s", time_start.Start, "track_later_flight", "{:.2f} s", "imports 0.6 s, matplotlib 0.8 s, compiled code from disk and flight 0.3 s"),
)  # fmt: skip


def _load() -> float:
    return os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")


def main() -> None:
    """One line a figure, with the machine's load beside it: how many programs were running or waiting."""
    print("| what | wanted | measured | load | limited by |\n| --- | --- | --- | --- | --- |")
    ready: dict[tuple[type, tuple[str, ...]], object] = {}
    for what, wanted, kind, call, shape, limit in ROWS:
        name, *values = call.split()
        key = (kind, tuple(values))
        if key not in ready:
            ready[key] = kind()
            ready[key].setup(*values)  # type: ignore[attr-defined]
        figure = getattr(ready[key], name)(*values)
        print(f"| {what} | {wanted} | {shape.format(figure)} | {_load():.1f} | {limit} |", flush=True)
    print(f"\nPython {platform.python_version()}, {os.cpu_count()} processors, {platform.machine()}")


if __name__ == "__main__":
    main()
