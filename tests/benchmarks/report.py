"""Measures everything and prints the table of DEVELOPERS.md: PYTHONPATH=sim:tests python tests/benchmarks/report.py."""

from __future__ import annotations

import os
import platform
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from benchmarks.time_ensemble import Ensemble
from benchmarks.time_flight import Flight
from benchmarks.time_rhs import Others, RightHandSide
from benchmarks.time_start import Start

ROWS = (
    ("right-hand side, 2 blades x 8 elements, bar, tail: compiled loop", "<= 4 us", RightHandSide, "track_inner", "{:.2f} us"),
    ("... called from Python", "", RightHandSide, "track_through_python", "{:.2f} us"),
    ("... the same source uncompiled", "", Others, "track_plain_python", "{:.0f} times as long"),
    ("... MuJoCo, the same tree without air", "", Others, "track_mujoco", "{:.2f} times as long"),
    ("flight by scipy, first-flight", ">= 100 times real time", Flight, "track_real_time first-flight", "{:.0f} times"),
    ("flight by scipy, long-flight", ">= 100 times real time", Flight, "track_real_time long-flight", "{:.0f} times"),
    ("... evaluations in a second of flight", "", Flight, "track_evaluations long-flight", "{:.0f}"),
    ("many flights, two processes with their start", ">= 800 flight-s a second", Ensemble, "track_two_processes", "{:.0f}"),
    ("... two threads", "", Ensemble, "track_two_threads", "{:.0f}"),
    ("... one worker", "", Ensemble, "track_one_worker", "{:.0f}"),
    ("... in a second of one processor's time", "", Ensemble, "track_of_processor_time", "{:.0f}"),
    ("... evaluations in a second of flight", "", Ensemble, "track_evaluations", "{:.0f}"),
    ("`import paddlebar`", "< 0.5 s", Start, "track_import", "{:.2f} s"),
    ("... with all that flying needs", "", Start, "track_import_all", "{:.2f} s"),
    ("`paddlebar --help`", "", Start, "track_help", "{:.2f} s"),
    ("first flight on a machine, compilation, run file and pictures included", "< 20 s", Start, "track_first_flight", "{:.1f} s"),
    ("later flights, likewise", "< 2 s", Start, "track_later_flight", "{:.2f} s"),
)  # fmt: skip


def _load() -> float:
    return os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")


def main() -> None:
    """One line a figure, with the machine's load beside it: how many programs were running or waiting."""
    print("| what | wanted | measured | load |\n| --- | --- | --- | --- |")
    ready: dict[tuple[type, tuple[str, ...]], object] = {}
    for what, wanted, kind, call, shape in ROWS:
        name, *values = call.split()
        key = (kind, tuple(values))
        if key not in ready:
            ready[key] = kind()
            ready[key].setup(*values)  # type: ignore[attr-defined]
        figure = getattr(ready[key], name)(*values)
        print(f"| {what} | {wanted} | {shape.format(figure)} | {_load():.1f} |", flush=True)
    print(f"\nPython {platform.python_version()}, {os.cpu_count()} processors, {platform.machine()}")


if __name__ == "__main__":
    main()
