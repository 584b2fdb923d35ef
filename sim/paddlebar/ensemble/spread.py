"""Work handed out in blocks on any executor, kept as it comes in, and done again where a worker was lost.

A process that dies takes with it what it held, and a pool of processes every other block that is under way. None of that is lost: it
is handed out again, each piece by itself. A piece that was under way at two deaths is worked on alone the next time. If that ends in a
death, too, it is the piece's doing, and the rest goes on without it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from contextlib import suppress
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from paddlebar.errors import WorkerLost

I = TypeVar("I")  # noqa: E741  a piece of work
R = TypeVar("R")  # what comes of it

ALONE: Final = 2  # deaths that a piece may have been there for before it is worked on alone; own choice


@dataclass
class Helpers:
    """Who works.

    anew : makes an executor in place of one that lost a process; None, or where it gives None: it is the caller's own, who must do so
    """

    executor: Executor
    anew: Callable[[], Executor | None] | None = None

    def renew(self) -> bool:
        """False: there is nobody else."""
        fresh = None if self.anew is None else self.anew()
        if fresh is not None:
            self.executor = fresh
        return fresh is not None


@dataclass
class _Block(Generic[I]):
    items: list[I]
    deaths: int = 0


def spread(
    blocks: Iterable[list[I]],
    work: Callable[[list[I]], list[R]],
    keep: Callable[[I, R], None],
    helpers: Helpers,
    *,
    most: int,
    lost: Callable[[I], R] | None = None,
    drop: Callable[[], None] | None = None,
) -> None:
    """Have everything worked on, in any order.

    blocks  : pieces that are handed over together, taken from here when there is room
    work    : importable by name, or a partial of such; its own error ends everything
    keep    : called here for each piece with what came of it
    most    : blocks that are handed out at once
    lost    : what comes of a piece that takes every process with it; None: WorkerLost
    drop    : tells workers that what they do is not wanted any more; what runs is then waited for, so that nothing is left behind
    Raises  : what `work` and `keep` raise; BrokenExecutor of an executor that cannot be renewed; KeyboardInterrupt. What was finished is kept
    """
    running: dict[Future[list[R]], _Block[I]] = {}
    again: deque[_Block[I]] = deque()
    fresh = iter(blocks)

    def due() -> _Block[I] | None:
        if again:
            by_itself = again[0].deaths >= ALONE
            return None if running and by_itself else again.popleft()
        if any(block.deaths >= ALONE for block in running.values()):
            return None
        items = next(fresh, None)
        return None if items is None else _Block(items)

    def take(future: Future[list[R]], block: _Block[I]) -> None:
        for item, found in zip(block.items, future.result(), strict=False):  # a block that was dropped is shorter
            keep(item, found)

    def died(block: _Block[I], error: BaseException) -> None:
        if len(block.items) == 1 and block.deaths >= ALONE:
            if lost is None:
                raise WorkerLost(
                    "the process that worked on it ended, three times; what is finished is kept"
                ) from error
            keep(block.items[0], lost(block.items[0]))
        else:
            again.extend(_Block([item], block.deaths + 1) for item in block.items)

    try:
        while True:
            broken: BaseException | None = None
            while broken is None and len(running) < most and (block := due()) is not None:
                try:
                    running[helpers.executor.submit(work, block.items)] = block
                except BrokenExecutor as error:  # found out only now
                    again.appendleft(block)
                    broken = error
            if broken is None and not running:
                return
            for future in wait(running, return_when=FIRST_COMPLETED).done if broken is None else ():
                block, failure = running.pop(future), future.exception()
                if failure is None:
                    take(future, block)
                elif isinstance(failure, BrokenExecutor):
                    broken = failure
                    died(block, failure)
                elif type(failure).__name__ == "KilledWorker":  # dask's: it has tried elsewhere already
                    died(block, failure)
                else:
                    raise failure
            if broken is not None:  # whatever is under way there comes back at once, most of it as broken
                wait(running)
                for future, block in list(running.items()):
                    del running[future]
                    if future.exception() is None:
                        take(future, block)
                    else:
                        died(block, broken)
                if not helpers.renew():
                    raise broken
    except BaseException:
        if drop is not None:
            drop()
        left = [future for future in running if not future.cancel()]
        if drop is not None:
            wait(left)
        for future in left:
            if future.done() and not future.cancelled() and future.exception() is None:
                with suppress(Exception):
                    take(future, running[future])
        raise
