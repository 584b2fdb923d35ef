"""What every study has at its opening: a file that it goes on with, others that help, progress, and the words that say what it is a study of."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from os import PathLike
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from paddlebar.craft.sections import SECTIONS
from paddlebar.files.keys import value_at
from paddlebar.files.scenario import Scenario
from paddlebar.files.tables import SECTION_KEYS
from paddlebar.progress import SILENT, Progress
from paddlebar.studies.runner import Worker, complete, cores, processes
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

    def pool(self) -> Executor:
        """The caller's executor, or the session's own, which ends with it."""
        if self.executor is None:
            self.executor = self._stack.enter_context(self.helpers(self.workers))
        return self.executor

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
            progress=self.progress if progress is None else progress, what=what,
        )  # fmt: skip


def identity(scenario: Scenario, text: str, **words: str) -> dict[str, str]:
    """What a study is of: two files of the same identity belong together.

    text : effective TOML that it changes keys in;  words : the study's own settings, `_` for a blank
    """
    return {
        "scenario": text,
        "equations": equations(),
        "own section tables": own_tables(scenario),
        **{name.replace("_", " "): value for name, value in words.items()},
    }


def own_tables(scenario: Scenario) -> str:
    """Digests of the section tables that are files of the user's own: the description names only where they are."""
    names = {value_at(scenario.craft, ".".join(key)) for key in SECTION_KEYS} - {None, *SECTIONS}
    return " ".join(hashlib.sha256(Path(name).read_bytes()).hexdigest() for name in sorted(names))


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
