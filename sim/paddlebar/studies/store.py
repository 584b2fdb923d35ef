"""The file of a study: every finished evaluation kept, whatever ends the program.

HDF5 that is written in place does not survive kill -9: its own bookkeeping is then half on the disk. So the study file is never
written in place. What is finished goes at once to a journal beside it, `NAME.journal`, which only ever grows: one fixed-size record an
evaluation, with a checksum. From time to time, and at the end, both are merged into a new study file that takes the old one's
place in one step, and the journal goes. Killed before the rename, the old file and the journal are there; killed after it, the
journal repeats what the file holds. A record cut off in the middle is dropped: that evaluation was not finished.

    /          filetype "paddlebar study", format 2, complete, program_version, Conventions
    /about     seed, names_in, names_out (JSON), identity (JSON: what it is a study of, word by word)
    /study     index (n), a dimension scale   ending (n) 0 = well, else the study's own code   and a dataset (n) for each name, with
               units, role "input" or "output" and, where the study tells it, long_name: xarray opens the group as labelled data

Rows stand in the order of `index`, so that a file does not tell how many workers made it, or how often it was interrupted. In memory are
the indices, what stands in the journal, and of the file one block of rows at a time: a study of a million evaluations takes no more than
one of some ten thousand.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final, Self

import h5py
import numpy as np
from numpy.typing import NDArray

from paddlebar.ensemble.workers import uninterrupted
from paddlebar.errors import BadInput
from paddlebar.record.write import put_in_place
from paddlebar.studies.journal import Journal, record_of
from paddlebar.studies.study_file import (
    begin_file,
    check_head,
    open_columns,
    program_version,
    read_index,
    read_texts,
    readable,
)

FILETYPE: Final = "paddlebar study"
FORMAT: Final = 2
MERGE_AT_LEAST: Final = 512  # records in the journal before it is merged while the study goes on; own choice
MERGE_AT_MOST: Final = 32768  # the same, for a long study: what is not merged stands in memory, too
BLOCK: Final = 32768  # rows that are read and written at once; own choice
_PLURAL: Final = {"equations", "columns"}  # of what may differ between two studies

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class StudyArrays:
    """Everything that is finished, in the order of index.

    index (n,); inputs (n, nin), outputs (n, nout) in the units that the study's names say; ending (n,) codes, 0 = well
    """

    index: NDArray[np.int64]
    inputs: Array
    outputs: Array
    ending: NDArray[np.int64]


class Study:
    """A resumable study; make it by Study.open(), use it as a context manager or call close()."""

    def __init__(
        self, path: Path, identity: Mapping[str, str], names_in: Sequence[str], names_out: Sequence[str], seed: int
    ) -> None:
        self.path = path
        self.identity = dict(identity)
        self.names_in, self.names_out = tuple(names_in), tuple(names_out)
        self.seed = seed
        if len({"index", "ending", *self.names}) != len(self.names) + 2:
            raise ValueError(f"columns of a study should have names of their own: {self.names}")
        self.told: dict[str, dict[str, Any]] = {}  # further attributes of columns, for whoever reads the file
        self._index: NDArray[np.int64] = np.empty(0, dtype=np.int64)  # finished and in the file, rising
        self._fresh: dict[int, bytes] = {}  # finished and in the journal: the record without its checksum
        self._stored: StudyArrays | None = None  # what the file holds, once it was asked for
        self._journal: Journal | None = None
        self._made: list[Path] = []  # folders, deepest first
        self._record = record_of(len(self.names))

    @property
    def names(self) -> tuple[str, ...]:
        """Of all columns, inputs first."""
        return self.names_in + self.names_out

    @classmethod
    def open(
        cls,
        path: str | os.PathLike[str],
        identity: Mapping[str, str],
        names_in: Sequence[str],
        names_out: Sequence[str],
        seed: int = 0,
        told: Mapping[str, Mapping[str, Any]] | None = None,
    ) -> Self:
        """Open a study to go on with it, or begin it.

        path      : study file (.h5); folders are made
        identity  : what it is a study of, by words: effective text of the scenario, equations(), the study's own settings
        names_in, names_out : of the columns, units in the names
        seed      : of the whole study; a sample draws from generator(index)
        told      : column -> further attributes for whoever reads the file, long_name among them
        Raises    : BadInput, one line, if the file is none of this program's studies, is one of something else, or is in use
        """
        study = cls(Path(path), identity, names_in, names_out, seed)
        study.told = {name: dict(words) for name, words in (told or {}).items()}
        study._made = [each for each in study.path.parents if not each.exists()]
        study.path.parent.mkdir(parents=True, exist_ok=True)
        try:
            seen = _stamp(study.path)
            if seen is not None:
                study._read()
            journal = Journal(study.path, study._digest(), (len(study.names_in), len(study.names_out)))
            study._journal = journal
            try:
                if _stamp(study.path) != seen:  # another run ended just now
                    study._read()
            except BadInput:
                journal.close()
                study._journal = None
                raise
            study._fresh = {index: record for index, record in journal.records() if not study.has(index)}
            if study._fresh:
                study.merge()
        except OSError:
            with suppress(OSError):
                study.close(broken_off=True)
            study._leave()
            raise
        return study

    def has(self, index: int) -> bool:
        """Whether an evaluation is finished."""
        if index in self._fresh:
            return True
        at = int(np.searchsorted(self._index, index))
        return at < self._index.size and int(self._index[at]) == index

    def __len__(self) -> int:
        """How many evaluations are finished."""
        return self._index.size + len(self._fresh)

    def missing(self, indices: Iterable[int]) -> list[int]:
        """Those of `indices` that are not finished, in their order."""
        return [int(i) for i in indices if not self.has(int(i))]

    def add(self, index: int, inputs: Sequence[float] | Array, outputs: Sequence[float] | Array, code: int = 0) -> None:
        """Keep one finished evaluation; once this returns, no end of the program loses it. One that is there already stays as it is."""
        index, code = int(index), int(code)
        if self.has(index):
            return
        row = np.asarray(inputs, dtype=np.float64).reshape(-1), np.asarray(outputs, dtype=np.float64).reshape(-1)
        if (row[0].size, row[1].size) != (len(self.names_in), len(self.names_out)):
            raise ValueError(
                f"evaluation {index}: {row[0].size} inputs and {row[1].size} outputs where {len(self.names_in)} and {len(self.names_out)} are due"
            )
        if self._journal is None:
            raise ValueError(f"{self.path}: the study is closed")
        self._fresh[index] = self._journal.add(index, code, (*row[0], *row[1]))
        if len(self._fresh) >= max(MERGE_AT_LEAST, min(self._index.size // 2, MERGE_AT_MOST)):
            self.merge()

    def look(self, indices: Iterable[int]) -> dict[int, tuple[Array, int]]:
        """Outputs and code of those of `indices` that are finished."""
        found, nin = {}, len(self.names_in)
        for index in map(int, indices):
            if index in self._fresh:
                record = np.frombuffer(self._fresh[index], dtype=self._record)[0]
                found[index] = record["row"][nin:].copy(), int(record["ending"])
            elif self.has(index):
                at, file = int(np.searchsorted(self._index, index)), self._of_file()
                found[index] = file.outputs[at].copy(), int(file.ending[at])
        return found

    def arrays(self) -> StudyArrays:
        """All finished evaluations."""
        file, nin = self._of_file(), len(self.names_in)
        fresh = self._fresh_records()
        index = np.concatenate([file.index, fresh["index"]])
        order = np.argsort(index, kind="stable")
        inputs, outputs = fresh["row"][:, :nin], fresh["row"][:, nin:]
        return StudyArrays(
            index=index[order],
            inputs=np.concatenate([file.inputs, inputs])[order],
            outputs=np.concatenate([file.outputs, outputs])[order],
            ending=np.concatenate([file.ending, fresh["ending"]])[order],
        )

    def inputs_of_file(self) -> Iterator[tuple[NDArray[np.int64], Array]]:
        """Index (m,) and inputs (m, nin) of what stands in the file, block by block."""
        if not self._index.size:
            return
        with h5py.File(self.path, "r") as file:
            columns = open_columns(self.path, file, self.names_in)
            for at in range(0, self._index.size, BLOCK):
                rows = slice(at, min(at + BLOCK, self._index.size))
                inputs = np.empty((rows.stop - at, len(self.names_in)))
                for k, name in enumerate(self.names_in):
                    inputs[:, k] = columns[name][rows]
                yield self._index[rows], inputs

    def _fresh_records(self) -> NDArray[Any]:
        """What stands in the journal, in the order of index."""
        return np.frombuffer(b"".join(self._fresh[k] for k in sorted(self._fresh)), dtype=self._record)

    def _of_file(self) -> StudyArrays:
        """What stands in the file, read when it is first asked for."""
        if self._stored is None:
            n, nin = self._index.size, len(self.names_in)
            table, ending = np.empty((n, len(self.names))), np.empty(n, dtype=np.int64)
            if n:
                with h5py.File(self.path, "r") as file:
                    columns = open_columns(self.path, file, self.names)
                    ending[:] = columns["ending"][()]
                    for k, name in enumerate(self.names):
                        table[:, k] = columns[name][()]
            self._stored = StudyArrays(self._index, table[:, :nin], table[:, nin:], ending)
        return self._stored

    def generator(self, index: int) -> np.random.Generator:
        """The chance of one sample: the same in any order, on any number of workers, after any restart."""
        return np.random.default_rng([self.seed, index])

    def merge(self) -> None:
        """Bring what the journal holds into the study file and begin an empty journal."""
        whole = np.sort(np.concatenate([self._index, np.fromiter(self._fresh, np.int64, len(self._fresh))]))
        with uninterrupted():  # what is in memory and what is in the file belong together
            put_in_place(self.path, lambda file: self._write(file, whole))
            self._index, self._stored = whole, None
            self._fresh = {}
        assert self._journal is not None
        self._journal.empty()

    def close(self, *, broken_off: bool = False) -> None:
        """One file is left: the journal is merged and gone; of a study that was broken off before anything was finished, none.

        Raises: OSError where the file cannot be written; the journal then stays, and the study can be gone on with.
        """
        journal = self._journal
        if journal is None:
            return
        try:
            if self._fresh or not (broken_off or self.path.exists()):
                self.merge()
            journal.remove()
        finally:
            self._journal = None
            journal.close()
        if broken_off:
            self._leave()

    def _leave(self) -> None:
        """Folders made for the study go if nothing came of it."""
        for folder in self._made:
            with suppress(OSError):  # not empty
                folder.rmdir()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        try:
            self.close(broken_off=kind is not None)
        except OSError:
            if kind is None or not issubclass(kind, OSError):  # a full disk has been told of already
                raise

    def _digest(self) -> bytes:
        """Of everything that must agree before two evaluations belong together."""
        whole = {"identity": self.identity, "in": self.names_in, "out": self.names_out, "seed": self.seed}
        return hashlib.sha256(json.dumps(whole, sort_keys=True).encode()).digest()

    def _write(self, target: IO[bytes], whole: NDArray[np.int64]) -> None:
        """The study file, a block of rows at a time, from the one that is there and what the journal holds; whole: all indices, rising."""
        fresh = self._fresh_records()
        with ExitStack() as stack:
            file = stack.enter_context(h5py.File(target, "w"))
            old: Mapping[str, h5py.Dataset] = {}
            if self._index.size:
                old = open_columns(self.path, stack.enter_context(h5py.File(self.path, "r")), self.names)
                if old["index"].shape != self._index.shape:
                    raise BadInput(f"{self.path}: was changed by somebody else while the study was going on")
            texts = {"identity": self.identity, "names_in": self.names_in, "names_out": self.names_out}
            columns = begin_file(file, FILETYPE, FORMAT, texts, self.seed, whole.size, self.told)
            where = np.searchsorted(whole, self._index), np.searchsorted(whole, fresh["index"])
            for at in range(0, whole.size, BLOCK):
                end = min(at + BLOCK, whole.size)
                (a, b), (c, d) = (np.searchsorted(each, (at, end)) for each in where)
                kept, new = where[0][a:b] - at, where[1][c:d] - at
                columns["index"][at:end] = whole[at:end]
                for k, name in enumerate(("ending", *self.names)):
                    values = np.empty(end - at, dtype=columns[name].dtype)
                    if b > a:
                        values[kept] = old[name][a:b]
                    values[new] = fresh[name][c:d] if k == 0 else fresh["row"][c:d, k - 1]
                    columns[name][at:end] = values
            file.attrs["complete"] = np.int8(1)  # last: nothing may follow it

    def _read(self) -> None:
        if not self.path.is_file():
            raise BadInput(f"{self.path}: not a study file: a folder, a device or a pipe; choose another --out")
        with readable(self.path), h5py.File(self.path, "r") as file:
            check_head(self.path, file, FILETYPE, FORMAT)
            (identity, names_in, names_out), seed = read_texts(self.path, file)
            self._compare(identity, names_in, names_out, seed)
            self._index = read_index(self.path, open_columns(self.path, file, self.names))

    def _compare(self, identity: Any, names_in: Any, names_out: Any, seed: int) -> None:
        """Refuse a study of something else, saying of what."""
        other = [key for key in sorted({*identity, *self.identity}) if identity.get(key) != self.identity.get(key)]
        if tuple(names_in) != self.names_in or tuple(names_out) != self.names_out:
            other.append("columns")
        if seed != self.seed:
            other.append("seed")
        if other:
            words = " and ".join(f"{'other' if key in _PLURAL else 'another'} {key}" for key in other)
            raise BadInput(
                f"{self.path}: holds a study of {words}; choose another --out, or remove the file to begin anew"
            )


def equations() -> str:
    """Name of the equations that this program computes with: changes with every source of physics/ and with what is compiled beside it."""
    from paddlebar import physics  # noqa: PLC0415  (numba, only where studies run)

    return f"{program_version()} {physics._fingerprint(Path(physics.__file__).parents[1])}"


def _stamp(path: Path) -> tuple[int, int, int] | None:
    """Which file stands at a path, and in which state; None: none."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns
