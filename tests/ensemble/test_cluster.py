"""Flights and studies on a cluster: dask.distributed on this machine, the extra `cluster`."""

from __future__ import annotations

import os
import pickle
import signal
import warnings
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from paddlebar import fly_many, improve, load_scenario, rank, samples, stability_map, yaw

distributed = pytest.importorskip("distributed")
pytestmark = pytest.mark.slow

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
SHORT = {
    "launch.release": "free",
    "launch.hold_s": 0.0,
    "launch.rotor_rpm": 500.0,
    "run.duration_s": 0.1,
    "run.blade_elements": 3,
}
QUICK = {"run.blade_elements": 3, "run.duration_s": 0.6, "run.rtol": 1e-4, "launch.hold_s": 0.2, "skein.turns": 60.0}
GAIN = "craft.bar.gain"


@contextmanager
def cluster(*, processes: bool) -> Iterator[tuple[Executor, list[int]]]:
    """An executor of two workers, and the numbers of their processes."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # theirs
        made = distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=processes, dashboard_address=None)
        with made, distributed.Client(made) as client, client.get_executor() as executor:
            yield executor, list(client.run(os.getpid).values())


def draw(rng):
    return {**SHORT, "launch.tilt_deg": rng.uniform(0.5, 8.0)}


class KillOne:
    """Ends a process, once, when half is done."""

    def __init__(self, count: int, pid: int) -> None:
        self.left, self.pid = count // 2, pid

    def start(self, steps: int) -> None: ...

    def step(self, what: str) -> None:
        self.left -= 1
        if self.left == 0:
            os.kill(self.pid, signal.SIGKILL)

    def close(self) -> None: ...


@pytest.mark.skipif(os.name == "nt", reason="processes that are killed")
def test_a_worker_killed_half_way_loses_nothing(tmp_path):
    todo = samples(FIRST, 48, draw)
    with cluster(processes=True) as (executor, pids):
        progress = KillOne(48, pids[0])
        kept = fly_many(todo, file=tmp_path / "cluster.h5", executor=executor, workers=2, progress=progress)
    assert progress.left < 0
    assert kept.counts == {"still flying": 48}
    fly_many(todo, file=tmp_path / "here.h5", workers=1)
    assert (tmp_path / "cluster.h5").read_bytes() == (tmp_path / "here.h5").read_bytes()


def studies(**how: Any) -> list[np.ndarray]:
    scenario = load_scenario(FIRST, QUICK)
    ways = stability_map(scenario, (GAIN, 0.4, 0.8, 2), ("craft.bar.tip_mass_g", 0.4, 0.8, 2), by="flights", **how)
    ranked = rank(scenario, {GAIN: 0.05}, samples=0, **how)
    return [ways.growth, ranked.low, ranked.high]


def test_studies_take_an_executor_of_a_cluster():
    with cluster(processes=False) as (executor, _):
        there = studies(executor=executor, workers=2)
    for ours, theirs in zip(studies(workers=1), there, strict=True):
        np.testing.assert_array_equal(ours, theirs)


class Handed(Exception):
    """Work came."""


class Far(Executor):
    """Takes one piece of work, as it would arrive on another machine."""

    work: Any = None

    def submit(self, fn, /, *args, **kwargs):
        self.work = pickle.loads(pickle.dumps((fn, args)))
        raise Handed


@pytest.mark.parametrize(
    "study",
    [
        lambda scenario, far: yaw(scenario, [4.0, 5.0], [10.0], executor=far),
        lambda scenario, far: improve(scenario, [(GAIN, 0.4, 0.8)], budget=10, executor=far),
    ],
    ids=["yaw", "improve"],
)
def test_longer_studies_hand_their_work_to_an_executor(study):
    """What they hand over travels, and is an evaluation of the study."""
    far = Far()
    with pytest.raises(Handed):
        study(load_scenario(FIRST, QUICK), far)
    work, (jobs,) = far.work
    ((outputs, code),) = work(jobs[:1])
    assert np.isfinite(outputs).any()
    assert code >= 0
