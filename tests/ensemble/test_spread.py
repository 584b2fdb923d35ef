"""Work in blocks: whatever is lost on the way is done again, and what takes its process with it does not take the rest."""

from __future__ import annotations

import multiprocessing
import os
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from functools import partial

import pytest

from ensemble.lost_workers import die, squares
from paddlebar.ensemble.pool import Pool
from paddlebar.ensemble.spread import Helpers, spread
from paddlebar.ensemble.workers import Workers, settle
from paddlebar.errors import WorkerLost


def made() -> Workers:
    return Workers(2, multiprocessing.get_context("forkserver"), initializer=settle)


def spread_all(work, blocks, **more):
    found: dict[int, int] = {}
    helpers = Helpers(made(), made)
    try:
        spread(blocks, work, found.__setitem__, helpers, most=4, **more)
    finally:
        helpers.executor.shutdown()
    return found


pytestmark = pytest.mark.skipif(os.name == "nt", reason="processes that are killed")


def test_a_lost_worker_loses_nothing(tmp_path):
    found = spread_all(partial(squares, once=str(tmp_path / "died")), [[0, 1, 2], [3, 4, 5], [6, 7], [8]])
    assert (tmp_path / "died").exists()
    assert found == {k: k * k for k in range(9)}


def test_what_takes_every_process_with_it_is_found_out_and_left_out():
    found = spread_all(partial(squares, always=4), [[0, 1, 2], [3, 4, 5], [6, 7], [8]], lost=lambda k: -k)
    assert found == {k: -4 if k == 4 else k * k for k in range(9)}


def test_without_a_word_for_what_is_lost_it_ends_in_one_line():
    with pytest.raises(WorkerLost, match="three times"):
        spread_all(partial(squares, always=4), [[4]])


def test_an_executor_of_the_callers_that_broke_is_the_callers_matter():
    found: dict[int, int] = {}
    with made() as own, pytest.raises(BrokenExecutor):
        spread([[0], [4]], partial(squares, always=4), found.__setitem__, Helpers(own), most=1)
    assert found == {0: 0}


class _NoStarter(ProcessPoolExecutor):
    """Stands under Workers where the process that starts the others is just ending: the first `refuses` calls find nobody there."""

    refuses, asked = 0, 0

    def submit(self, fn, /, *args, **kwargs):
        _NoStarter.asked += 1
        if _NoStarter.asked <= _NoStarter.refuses:
            raise ConnectionRefusedError(111, "Connection refused")
        return super().submit(fn, *args, **kwargs)


class _Unstarted(Workers, _NoStarter):
    pass


@pytest.mark.parametrize("refuses", [1, 3])
def test_without_the_process_that_starts_the_others_it_goes_on_with_another(monkeypatch, refuses):
    """Seen where that process was killed while a worker was asked for: a traceback."""
    monkeypatch.setattr(_NoStarter, "refuses", refuses)
    monkeypatch.setattr(_NoStarter, "asked", 0)
    monkeypatch.setitem(globals(), "Workers", _Unstarted)
    assert spread_all(squares, [[0, 1, 2], [3, 4], [5]]) == {k: k * k for k in range(6)}


def test_where_none_can_ever_be_started_it_ends(monkeypatch):
    monkeypatch.setattr(_NoStarter, "refuses", 1000)
    monkeypatch.setattr(_NoStarter, "asked", 0)
    monkeypatch.setitem(globals(), "Workers", _Unstarted)
    with pytest.raises(BrokenExecutor, match="starts the others"):
        spread_all(squares, [[0]])
    assert _NoStarter.asked < 10


class KilledWorker(Exception):
    """As dask calls it."""


def test_what_a_cluster_gave_up_is_tried_piece_by_piece():
    class Cluster:
        def submit(self, work, items):
            future: Future[list[int]] = Future()
            if 4 in items:
                future.set_exception(KilledWorker())
            else:
                future.set_result(work(items))
            return future

    found: dict[int, int] = {}
    spread([[0, 1], [3, 4, 5]], squares, found.__setitem__, Helpers(Cluster()), most=2, lost=lambda k: -k)
    assert found == {0: 0, 1: 1, 3: 9, 4: -4, 5: 25}


def test_blocks_are_taken_little_by_little():
    taken: list[int] = []
    kept: list[int] = []

    def blocks():
        for k in range(50):
            taken.append(k)
            assert len(taken) - len(kept) <= 3
            yield [k]

    with ThreadPoolExecutor(2) as pool:
        spread(blocks(), squares, lambda k, _: kept.append(k), Helpers(pool), most=3)
    assert sorted(kept) == list(range(50))


def test_a_pool_is_made_anew():
    with Pool(1) as pool:
        first = pool.executor
        with pytest.raises(BrokenExecutor):
            first.submit(die).result()
        assert pool.renewed() is pool.executor is not first
        assert pool.executor.submit(squares, [3]).result() == [9]
