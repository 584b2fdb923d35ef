"""Work handed out in blocks on any executor, kept as it comes in, and done again where a worker was lost.

A process that dies takes with it what it held, and a pool of processes every other block that is under way. None of that is lost: it
is handed out again, each piece by itself. A piece that was under way at two deaths is worked on alone the next time. If that ends in a
death, too, it is the piece's doing, and the rest goes on without it.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from contextlib import suppress
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from paddlebar.errors import WorkerLost

I = TypeVar("I")  # noqa: E741  a piece of work
R = TypeVar("R")  # what comes of it

MOST_IN_VAIN: Final = 5  # executors that are made anew and take nothing; own choice
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
    under_way = _UnderWay(iter(blocks), keep, lost)
    in_vain = 0  # executors one after the other that took no work at all
    try:
        while True:
            broken = under_way.hand_out(work, helpers, most)
            if broken is None:
                if not under_way.running:
                    return
                in_vain, broken = 0, under_way.take_in()
            else:
                in_vain += 1
            if broken is not None:
                under_way.clear_away(broken)
                if in_vain > MOST_IN_VAIN or not helpers.renew():
                    raise broken
    except BaseException:
        under_way.break_off(drop)
        raise


class _UnderWay(Generic[I, R]):
    """What is handed out, what is to be handed out again, and what is still to come."""

    def __init__(self, fresh: Iterator[list[I]], keep: Callable[[I, R], None], lost: Callable[[I], R] | None) -> None:
        self.running: dict[Future[list[R]], _Block[I]] = {}
        self._again: deque[_Block[I]] = deque()
        self._fresh, self._keep, self._lost = fresh, keep, lost

    def hand_out(self, work: Callable[[list[I]], list[R]], helpers: Helpers, most: int) -> BaseException | None:
        """Blocks to the helpers while there is room; the error of an executor that is found broken only now."""
        while len(self.running) < most and (block := self._due()) is not None:
            try:
                self.running[helpers.executor.submit(work, block.items)] = block
            except BrokenExecutor as error:
                self._again.appendleft(block)
                return error
        return None

    def take_in(self) -> BaseException | None:
        """Wait for the next that ends and keep what came of it; the error of an executor that broke. Raises what the work raised."""
        broken = None
        for future in wait(self.running, return_when=FIRST_COMPLETED).done:
            block, failure = self.running.pop(future), future.exception()
            if failure is None:
                self._take(future, block)
            elif isinstance(failure, BrokenExecutor):
                broken = failure
                self._died(block, failure)
            elif type(failure).__name__ == "KilledWorker":  # dask's: it has tried elsewhere already
                self._died(block, failure)
            else:
                raise failure
        return broken

    def clear_away(self, broken: BaseException) -> None:
        """Whatever is under way at a broken executor comes back at once, most of it as broken."""
        wait(self.running)
        for future, block in list(self.running.items()):
            del self.running[future]
            if future.exception() is None:
                self._take(future, block)
            else:
                self._died(block, broken)

    def break_off(self, drop: Callable[[], None] | None) -> None:
        """Leave the rest; what is finished is kept."""
        if drop is not None:
            drop()
        left = [future for future in self.running if not future.cancel()]
        if drop is not None:
            wait(left)
        for future in left:
            if future.done() and not future.cancelled() and future.exception() is None:
                with suppress(Exception):
                    self._take(future, self.running[future])

    def _due(self) -> _Block[I] | None:
        """The next to be handed out; None where there is none, or where one has to be worked on alone."""
        if self._again:
            by_itself = self._again[0].deaths >= ALONE
            return None if self.running and by_itself else self._again.popleft()
        if any(block.deaths >= ALONE for block in self.running.values()):
            return None
        items = next(self._fresh, None)
        return None if items is None else _Block(items)

    def _take(self, future: Future[list[R]], block: _Block[I]) -> None:
        for item, found in zip(block.items, future.result(), strict=False):  # a block that was dropped is shorter
            self._keep(item, found)

    def _died(self, block: _Block[I], error: BaseException) -> None:
        """Each piece again, by itself; or what comes of one that takes every process with it."""
        if len(block.items) > 1 or block.deaths < ALONE:
            self._again.extend(_Block([item], block.deaths + 1) for item in block.items)
            return
        if self._lost is None:
            raise WorkerLost("the process that worked on it ended, three times; what is finished is kept") from error
        self._keep(block.items[0], self._lost(block.items[0]))
