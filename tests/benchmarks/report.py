"""Measures everything and prints the tables of the manual's page on speed: PYTHONPATH=sim:tests python tests/benchmarks/report.py."""

from __future__ import annotations

import functools
import os
import platform
import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from benchmarks import (
    time_cost,
    time_ensemble,
    time_flight,
    time_rhs,
    time_solvers,
    time_start,
    time_study,
)  # modules: asv would take imported classes for ours

ROWS = (
    ("right-hand side, 2 blades x 8 elements, bar, tail: compiled loop", "<= 4 us", time_rhs.RightHandSide, "track_inner", "{:.2f} us", "28 strips of blades and tail rotor: angle, table look-up and square roots of each; then the mass matrix"),
    ("... operations of an evaluation, comparisons not counted", "", time_rhs.Limit, "track_operations", "{:.0f}", "counted by running the source with numbers that count"),
    ("... time of these operations alone, one an instruction", "", time_rhs.Limit, "track_limit", "{:.2f} us", "each kind at the rate that this machine reaches when nothing waits (machine.py)"),
    ("... the evaluation over that", "< 3", time_rhs.Limit, "track_over_limit", "{:.2f} times", "most additions and products go singly: branches, and table places that differ from strip to strip"),
    ("... the evaluation over that with the widest additions and products", "", time_rhs.Limit, "track_over_wide_limit", "{:.2f} times", "the same"),
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
    ("Floquet: exponents and shapes of one steady motion", "", time_study.Study, "track_floquet", "{:.0f} ms", "evaluations"),
    ("... over its evaluations alone", "", time_study.Study, "track_floquet_over_equations", "{:.2f} times", "states gathered at twelve azimuths"),
    ("margins, whole analysis", "", time_study.Study, "track_margins", "{:.1f} s", "evaluations: steady motions followed along the run-down and to the margins' edges"),
    ("map, a place, one worker, 4 x 4", "", time_study.Study, "track_map", "{:.0f} ms", "evaluations; the first steady motion is a quarter of it, larger maps pay it once"),
    ("`import paddlebar`", "< 0.5 s", time_start.Start, "track_import", "{:.2f} s", "nothing is loaded before it is used"),
    ("... with all that flying needs", "", time_start.Start, "track_import_all", "{:.2f} s", "numba, scipy, pydantic in equal parts"),
    ("`paddlebar --help`", "", time_start.Start, "track_help", "{:.2f} s", "click"),
    ("first flight on a machine, compilation, run file and pictures included", "< 20 s", time_start.Start, "track_first_flight", "{:.1f} s", "numba: 80 functions, 10 s of LLVM"),
    ("memory: Python with numpy, scipy and numba", "", time_cost.Memory, "track_numpy", "{:.0f} MB", ""),
    ("... with all that flying needs", "", time_cost.Memory, "track_import", "{:.0f} MB", "compiled code is loaded, LLVM with it"),
    ("... one long flight by scipy, kept whole", "", time_cost.Memory, "track_flight", "{:.0f} MB", "states and loads of every step"),
    ("... eighty flights in compiled steps", "", time_cost.Memory, "track_flights", "{:.0f} MB", "figures only are kept"),
    ("... one steady motion and its modes", "", time_cost.Memory, "track_floquet", "{:.0f} MB", ""),
    ("later flights, likewise", "< 2 s", time_start.Start, "track_later_flight", "{:.2f} s", "imports 0.6 s, matplotlib 0.8 s, compiled code from disk and flight 0.3 s"),
)  # fmt: skip

CURVES = (
    ("right-hand side by blade elements [us]", time_cost.Elements, "track_inner", "{:.2f}"),
    ("flight by scipy by its length in s [ms a second flown]", time_cost.Length, "track_cost", "{:.1f}"),
    ("run file by the length of the flight in s [kB a second flown]", time_cost.Length, "track_file", "{:.1f}"),
    ("flights in one worker by their number [ms a second flown]", time_cost.Number, "track_cost", "{:.2f}"),
    ("scipy's solvers, 5 s of flight right to 0.1 mm [s]", time_solvers.Solvers, "track_seconds", "{:.3f}"),
    ("... evaluations", time_solvers.Solvers, "track_evaluations", "{:.0f}"),
)


def _load() -> float:
    return os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")


@functools.cache
def _ready(kind: type, *values: Any) -> Any:
    bench = kind()
    getattr(bench, "setup", lambda *_: None)(*values)
    return bench


def main() -> None:
    """One line a figure, with the machine's load beside it: how many programs were running or waiting."""
    print("| what | wanted | measured | load | limited by |\n| --- | --- | --- | --- | --- |")
    for what, wanted, kind, call, shape, limit in ROWS:
        name, *values = call.split()
        figure = getattr(_ready(kind, *values), name)(*values)
        print(f"| {what} | {wanted} | {shape.format(figure)} | {_load():.1f} | {limit} |", flush=True)
    print("\n| cost of more | |\n| --- | --- |")
    for what, curve, name, shape in CURVES:
        values: list[Any] = sorted(curve.params) if curve is not time_solvers.Solvers else list(curve.params)
        found = [f"{each}: {shape.format(getattr(_ready(curve, each), name)(each))}" for each in values]
        print(f"| {what} | {', '.join(found)} |", flush=True)
    print(f"\nPython {platform.python_version()}, {os.cpu_count()} processors, {platform.machine()}")


if __name__ == "__main__":
    main()
