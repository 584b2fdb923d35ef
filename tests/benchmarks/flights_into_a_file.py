"""Memory and rate of many flights into a file. A program, not a test: PYTHONPATH=sim:tests python tests/benchmarks/flights_into_a_file.py [FLIGHTS [KILLS]]

Flies so many short flights (a tenth of a second, three elements a blade) in two processes, ends itself by kill -9 so many times on the way and
goes on, flies them once more in one go, and compares both files byte for byte. Then it keeps a million made-up rows as a study of the same
columns, for what the store itself takes.
"""

from __future__ import annotations

import multiprocessing
import os
import resource
import signal
import sys
import tempfile
import time
from pathlib import Path

from paddlebar import fly_many, samples
from paddlebar.studies.flights import FIGURES
from paddlebar.studies.store import Study

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
SHORT = {
    "launch.release": "free",
    "launch.hold_s": 0.0,
    "launch.rotor_rpm": 500.0,
    "run.duration_s": 0.1,
    "run.blade_elements": 3,
}


def draw(rng):
    return {**SHORT, "launch.tilt_deg": rng.uniform(0.5, 8.0), "launch.heading_deg": rng.uniform(0.0, 360.0)}


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


class Killing:
    def __init__(self, after: int) -> None:
        self.left = after

    def start(self, steps: int) -> None:
        print(f"  {steps} to fly", flush=True)

    def step(self, what: str) -> None:
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def close(self) -> None: ...


def fly(path: Path, count: int, after: int) -> None:
    start = time.perf_counter()
    found = fly_many(samples(FIRST, count, draw), file=path, workers=2, progress=Killing(after))
    spent = time.perf_counter() - start
    print(
        f"  {len(found)} in the file after {spent:.1f} s; memory of the program at most {peak_mb():.0f} MB", flush=True
    )


def keep(path: Path, count: int) -> None:
    names = [*SHORT, "launch.tilt_deg", "launch.heading_deg"]
    start, row, out = time.perf_counter(), [0.0] * len(names), [0.0] * len(FIGURES)
    with Study.open(path, {"what": "made up"}, names, FIGURES) as study:
        before = peak_mb()
        for k in range(count):
            study.add(k, row, out)
    spent = time.perf_counter() - start
    print(
        f"{count} rows kept in {spent:.0f} s, {path.stat().st_size / 1e6:.0f} MB; memory {before:.0f} -> {peak_mb():.0f} MB"
    )


def apart(what, *given) -> None:
    child = multiprocessing.get_context("spawn").Process(target=what, args=given)
    child.start()
    child.join()


if __name__ == "__main__":
    count, kills = (int(sys.argv[1]) if len(sys.argv) > 1 else 10_000), (int(sys.argv[2]) if len(sys.argv) > 2 else 3)
    with tempfile.TemporaryDirectory() as folder:
        for n in (count // 10, count):
            print(f"{n} flights in one go")
            apart(fly, Path(folder) / f"one{n}.h5", n, -1)
        print(f"{count} flights, killed {kills} times")
        for _ in range(kills):
            apart(fly, Path(folder) / "killed.h5", count, count // (kills + 1))
        apart(fly, Path(folder) / "killed.h5", count, -1)
        same = (Path(folder) / "killed.h5").read_bytes() == (Path(folder) / f"one{count}.h5").read_bytes()
        print("equal byte for byte" if same else "NOT EQUAL")
        for n in (100_000, 1_000_000):
            apart(keep, Path(folder) / f"rows{n}.h5", n)
