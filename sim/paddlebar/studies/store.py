"""The file of a study: every finished evaluation kept, whatever ends the program.

HDF5 that is written in place does not survive kill -9: its own bookkeeping is then half on the disk. So the study file is never
written in place. What is finished goes at once to a journal beside it, `NAME.journal`, which only ever grows: one fixed-size record an
evaluation, with a checksum. From time to time, and at the end, both are merged into a new study file that takes the old one's
place in one step, and the journal goes. Killed before the rename, the old file and the journal are there; killed after it, the
journal repeats what the file holds. A record cut off in the middle is dropped: that evaluation was not finished.

    /          filetype "paddlebar study", format 1, complete, program_version
    /study     seed, names_in, names_out (JSON), identity (JSON: what it is a study of, word by word)
        index (n)   inputs (n, nin)   outputs (n, nout)   ending (n) 0 = well, else the study's own code   flag (n) finished

Rows stand in the order of `index`, so that a file does not tell how many workers made it, or how often it was interrupted.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import struct
import zlib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import IO, Any, Final, Self

import h5py
import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.record.held import held
from paddlebar.record.write import put_in_place
from paddlebar.studies.study_file import check_head, read_columns, read_texts

FILETYPE: Final = "paddlebar study"
FORMAT: Final = 1
MERGE_AT_LEAST: Final = 512  # records in the journal before it is merged while the study goes on; own choice

_MAGIC: Final = b"paddlebar journal 1\n"
_HEAD: Final = struct.Struct("<32sII")  # digest of what the study is, numbers of inputs and outputs
_START: Final = struct.Struct("<qq")  # index, code
_SUM: Final = struct.Struct("<I")

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
        self._rows: dict[int, tuple[Array, Array, int]] = {}
        self._journal_path = path.with_name(path.name + ".journal")
        self._journal: IO[bytes] | None = None
        self._unmerged = 0
        self._made: list[Path] = []  # folders, deepest first
        self._floats = struct.Struct(f"<{len(self.names_in) + len(self.names_out)}d")

    @classmethod
    def open(
        cls,
        path: str | os.PathLike[str],
        identity: Mapping[str, str],
        names_in: Sequence[str],
        names_out: Sequence[str],
        seed: int = 0,
    ) -> Self:
        """Open a study to go on with it, or begin it.

        path      : study file (.h5); folders are made
        identity  : what it is a study of, by words: effective text of the scenario, equations(), the study's own settings
        names_in, names_out : of the columns, units in the names
        seed      : of the whole study; a sample draws from generator(index)
        Raises    : BadInput, one line, if the file is none of this program's studies, is one of something else, or is in use
        """
        study = cls(Path(path), identity, names_in, names_out, seed)
        study._made = [each for each in study.path.parents if not each.exists()]
        study.path.parent.mkdir(parents=True, exist_ok=True)
        try:
            if study.path.exists():
                study._read()
            study._take_journal()
            if study._unmerged:
                study.merge()
        except OSError:
            with suppress(OSError):
                study.close(broken_off=True)
            study._leave()
            raise
        return study

    def missing(self, indices: Iterable[int]) -> list[int]:
        """Those of `indices` that are not finished, in their order."""
        return [int(i) for i in indices if int(i) not in self._rows]

    def add(self, index: int, inputs: Sequence[float] | Array, outputs: Sequence[float] | Array, code: int = 0) -> None:
        """Keep one finished evaluation; once this returns, no end of the program loses it. One that is there already stays as it is."""
        index, code = int(index), int(code)
        if index in self._rows:
            return
        row = np.asarray(inputs, dtype=np.float64).reshape(-1), np.asarray(outputs, dtype=np.float64).reshape(-1), code
        if (row[0].size, row[1].size) != (len(self.names_in), len(self.names_out)):
            raise ValueError(
                f"evaluation {index}: {row[0].size} inputs and {row[1].size} outputs where {len(self.names_in)} and {len(self.names_out)} are due"
            )
        if self._journal is None:
            raise ValueError(f"{self.path}: the study is closed")
        body = _START.pack(index, code) + self._floats.pack(*row[0], *row[1])
        _write(self._journal, body + _SUM.pack(zlib.crc32(body)))  # unbuffered: with the system when this returns
        self._rows[index] = row
        self._unmerged += 1
        if self._unmerged >= max(MERGE_AT_LEAST, len(self._rows) // 2):
            self.merge()

    def look(self, indices: Iterable[int]) -> dict[int, tuple[Array, int]]:
        """Outputs and code of those of `indices` that are finished."""
        return {int(i): self._rows[int(i)][1:] for i in indices if int(i) in self._rows}

    def arrays(self) -> StudyArrays:
        """All finished evaluations."""
        keys = sorted(self._rows)
        nin, nout = len(self.names_in), len(self.names_out)
        return StudyArrays(
            index=np.array(keys, dtype=np.int64),
            inputs=np.array([self._rows[k][0] for k in keys], dtype=np.float64).reshape(len(keys), nin),
            outputs=np.array([self._rows[k][1] for k in keys], dtype=np.float64).reshape(len(keys), nout),
            ending=np.array([self._rows[k][2] for k in keys], dtype=np.int64),
        )

    def generator(self, index: int) -> np.random.Generator:
        """The chance of one sample: the same in any order, on any number of workers, after any restart."""
        return np.random.default_rng([self.seed, index])

    def merge(self) -> None:
        """Bring what the journal holds into the study file and begin an empty journal."""
        put_in_place(self.path, self._image())
        assert self._journal is not None
        self._journal.truncate(len(_MAGIC) + _HEAD.size)
        self._journal.seek(0, os.SEEK_END)
        self._unmerged = 0

    def close(self, *, broken_off: bool = False) -> None:
        """One file is left: the journal is merged and gone; of a study that was broken off before anything was finished, none.

        Raises: OSError where the file cannot be written; the journal then stays, and the study can be gone on with.
        """
        journal = self._journal
        if journal is None:
            return
        try:
            if self._unmerged or not (broken_off or self.path.exists()):
                self.merge()
            with suppress(OSError):  # while it is still held; an empty journal that cannot go does no harm
                self._journal_path.unlink()
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

    def _image(self) -> bytes:
        data = self.arrays()
        with h5py.File("study", "w", driver="core", backing_store=False) as file:
            file.attrs["filetype"], file.attrs["format"], file.attrs["program_version"] = (
                FILETYPE,
                FORMAT,
                program_version(),
            )
            group = file.create_group("study")
            group.attrs["seed"] = self.seed
            # datasets, not attributes: those may not be longer than 64 KiB
            texts = {"identity": self.identity, "names_in": self.names_in, "names_out": self.names_out}
            for name, value in texts.items():
                group.create_dataset(name, data=json.dumps(value), dtype=h5py.string_dtype("utf-8"), track_times=False)
            columns = {"index": data.index, "inputs": data.inputs, "outputs": data.outputs, "ending": data.ending}
            for name, values in columns.items():
                group.create_dataset(name, data=values, track_times=False)
            group.create_dataset("flag", data=np.ones(data.index.size, dtype=np.bool_), track_times=False)
            file.attrs["complete"] = True
            file.flush()
            return bytes(file.id.get_file_image())

    def _read(self) -> None:
        if not self.path.is_file():
            raise BadInput(f"{self.path}: not a study file: a folder, a device or a pipe; choose another --out")
        try:
            with h5py.File(self.path, "r") as file:
                check_head(self.path, file, FILETYPE, FORMAT)
                (identity, names_in, names_out), seed = read_texts(self.path, file)
                self._compare(identity, names_in, names_out, seed)
                columns = read_columns(self.path, file, (len(self.names_in), len(self.names_out)))
        except BadInput:
            raise
        except (OSError, RuntimeError, LookupError, TypeError, ValueError, AttributeError) as error:
            raise BadInput(
                f"{self.path}: not a study file: damaged, or of another kind ({(str(error).splitlines() or [type(error).__name__])[0]})"
            ) from error
        for index, inputs, outputs, ending, flag in zip(*columns, strict=True):
            if flag:
                self._rows[int(index)] = inputs, outputs, int(ending)

    def _compare(self, identity: Any, names_in: Any, names_out: Any, seed: int) -> None:
        """Refuse a study of something else, saying of what."""
        other = [key for key in sorted({*identity, *self.identity}) if identity.get(key) != self.identity.get(key)]
        if tuple(names_in) != self.names_in or tuple(names_out) != self.names_out:
            other.append("columns")
        if seed != self.seed:
            other.append("seed")
        if other:
            raise BadInput(
                f"{self.path}: holds a study of another {' and another '.join(other)}; choose another --out, or remove the file to begin anew"
            )

    def _take_journal(self) -> None:
        """Open the journal, alone, and take in what an interrupted run left there."""
        journal = self._journal_path.open("a+b", buffering=0)
        alone = held(journal.fileno())
        # one that its owner took away between opening and locking is nobody's journal any more
        if not alone or not _is_at(journal, self._journal_path):
            journal.close()
            raise BadInput(f"{self.path}: this study is being worked on by another paddlebar")
        self._journal = journal
        self._journal.seek(0)
        text = self._journal.read()
        head = _MAGIC + _HEAD.pack(self._digest(), len(self.names_in), len(self.names_out))
        if len(text) < len(head):  # new, or killed while it was begun
            self._journal.truncate(0)
            _write(self._journal, head)
            return
        if text[: len(head)] != head:
            self._journal.close()
            self._journal = None
            raise BadInput(
                f"{self._journal_path}: left by an interrupted study of something else; remove it, or choose another --out"
            )
        size = _START.size + self._floats.size + _SUM.size
        at, nin = len(head), len(self.names_in)
        while at + size <= len(text):
            body, (check,) = text[at : at + size - _SUM.size], _SUM.unpack_from(text, at + size - _SUM.size)
            if zlib.crc32(body) != check:
                break
            index, code = _START.unpack_from(body)
            values = np.array(self._floats.unpack_from(body, _START.size))
            self._rows.setdefault(index, (values[:nin], values[nin:], code))
            self._unmerged += 1
            at += size
        self._journal.truncate(at)  # what was cut off in the middle was not finished


def program_version() -> str:
    """Version of the program, as in run files."""
    try:
        return version("paddlebar")
    except PackageNotFoundError:  # run from a source tree that was never installed
        return "not installed"


def equations() -> str:
    """Name of the equations that this program computes with: changes with every source of physics/ and with what is compiled beside it."""
    from paddlebar import physics  # noqa: PLC0415  (numba, only where studies run)

    return f"{program_version()} {physics._fingerprint(Path(physics.__file__).parents[1])}"


def _write(file: IO[bytes], record: bytes) -> None:
    """The whole record, or an OSError with none of it left behind."""
    start = file.seek(0, os.SEEK_END)
    try:
        while record:  # what does not fit is refused the second time, with the reason
            written = file.write(record)
            if not written:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            record = record[written:]
    except OSError as error:
        with suppress(OSError):
            file.truncate(start)
        raise OSError(error.errno, error.strerror, str(file.name)) from error


def _is_at(file: IO[bytes], path: Path) -> bool:
    return path.exists() and os.path.samestat(os.fstat(file.fileno()), path.stat())
