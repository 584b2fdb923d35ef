"""What every study has at its opening: a file that it goes on with, others that help, progress, and the words that say what it is a study of."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from os import PathLike
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from paddlebar.ensemble.pool import cores
from paddlebar.progress import SILENT, Progress
from paddlebar.studies.runner import Worker, complete, processes
from paddlebar.studies.store import Study, equations

FEW: Final = 6  # evaluations for which further processes are not worth their start

Asked = str | PathLike[str] | None  # a study file; None: nothing is kept


@dataclass
class Session:
    """An open study and those that work on it; made by session().

    executor : the caller's own; None: `helpers` are made when more than `few` evaluations are asked for at once
    """

    study: Study
    workers: int = 1
    executor: Executor | None = None
    progress: Progress = SILENT
    few: int = FEW
    helpers: Callable[[int], Executor] = processes
    _stack: ExitStack = field(default_factory=ExitStack)
    _own: Executor | None = None

    def pool(self) -> Executor:
        """The caller's executor, or the session's own, which ends with it."""
        if self.executor is None:
            self._own = self.executor = self._stack.enter_context(self.helpers(self.workers))
        return self.executor

    def _anew(self) -> Executor | None:
        """Helpers in place of those that lost one; None: they are the caller's."""
        if self._own is None:
            return None
        self._own.shutdown()
        self.executor = None
        return self.pool()

    def complete(
        self, wanted: Mapping[int, Sequence[float]], worker: Worker, what: str, progress: Progress | None = None
    ) -> None:
        """Evaluate what is missing, each kept as soon as it is finished; see runner.complete.

        progress : told instead of the session's own
        """
        count = len(self.study.missing(wanted))
        alone = self.executor is None and (self.workers == 1 or count <= self.few)
        complete(
            self.study, wanted, worker, None if alone else self.pool(), workers=self.workers,
            progress=self.progress if progress is None else progress, what=what, anew=self._anew,
        )  # fmt: skip


def identity(text: str, **words: str) -> dict[str, str]:
    """What a study is of: two files of the same identity belong together.

    text : effective TOML that it changes keys in, which holds every table that the files name;  words : the study's own settings, `_` for a blank
    """
    return {
        "scenario": text,
        "equations": equations(),
        **{name.replace("_", " "): value for name, value in words.items()},
    }


@contextmanager
def session(
    of: Mapping[str, str],
    names_in: Sequence[str],
    names_out: Sequence[str],
    *,
    seed: int = 0,
    file: Asked = None,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    few: int = FEW,
    helpers: Callable[[int], Executor] = processes,
) -> Iterator[Session]:
    """Open a study to go on with it, or begin it.

    of       : from identity();  names_in, names_out : of the columns, units in the names;  seed : of the whole study
    file     : study file; None: nothing is kept
    workers  : None: one a core;  executor, few, helpers : see Session
    Raises   : BadInput, one line, for a file that is none of this program's studies, is one of something else, or is in use
    """
    with ExitStack() as stack:
        path = Path(stack.enter_context(TemporaryDirectory())) / "study.h5" if file is None else Path(file)
        study = stack.enter_context(Study.open(path, of, names_in, names_out, seed))
        yield Session(study, workers or cores(), executor, progress, few, helpers, stack)
