"""The journal beside a study file: it only ever grows, one fixed-size record an evaluation, with a checksum; see store.py."""

from __future__ import annotations

import errno
import os
import struct
import zlib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import IO, Any, Final

import numpy as np

from paddlebar.errors import BadInput
from paddlebar.record.held import held

_MAGIC: Final = b"paddlebar journal 1\n"
_HEAD: Final = struct.Struct("<32sII")  # digest of what the study is, numbers of inputs and outputs
_START: Final = struct.Struct("<qq")  # index, code
_SUM: Final = struct.Struct("<I")


def record_of(columns: int) -> np.dtype[Any]:
    """How a record is laid out: index, ending code, a row of so many numbers."""
    return np.dtype([("index", "<i8"), ("ending", "<i8"), ("row", "<f8", (columns,))])


class Journal:
    """An open journal that nobody else has.

    study : path of the study file;  digest : of what the study is;  sizes : numbers of inputs and outputs
    Raises : BadInput where somebody else has it, or it is one of something else; OSError
    """

    def __init__(self, study: Path, digest: bytes, sizes: tuple[int, int]) -> None:
        self.path = study.with_name(study.name + ".journal")
        self._size = record_of(sum(sizes)).itemsize
        self._floats = struct.Struct(f"<{sum(sizes)}d")
        self._head = _MAGIC + _HEAD.pack(digest, *sizes)
        file = self.path.open("a+b", buffering=0)
        alone = held(file.fileno())
        # one that its owner took away between opening and locking is nobody's journal any more
        if not alone or not _is_at(file, self.path):
            file.close()
            raise BadInput(f"{study}: this study is being worked on by another paddlebar")
        self._file = file
        file.seek(0)
        text = file.read(len(self._head))
        if len(text) < len(self._head):  # new, or killed while it was begun
            try:
                file.truncate(0)
                write_whole(file, self._head)
            except OSError:
                self.remove()
                raise
        elif text != self._head:
            file.close()
            raise BadInput(
                f"{self.path}: left by an interrupted study of something else; remove it, or choose another --out"
            )

    def records(self) -> Iterator[tuple[int, bytes]]:
        """Index and record (see record_of) of each, up to one that was cut off: that evaluation was not finished."""
        at, size = len(self._head), self._size + _SUM.size
        self._file.seek(at)
        while len(record := self._file.read(size)) == size:
            body, (check,) = record[: -_SUM.size], _SUM.unpack_from(record, size - _SUM.size)
            if zlib.crc32(body) != check:
                break
            yield _START.unpack_from(body)[0], body
            at += size
        self._file.truncate(at)

    def add(self, index: int, code: int, row: tuple[float, ...]) -> bytes:
        """The record, which is with the system when this returns."""
        body = _START.pack(index, code) + self._floats.pack(*row)
        write_whole(self._file, body + _SUM.pack(zlib.crc32(body)))  # unbuffered
        return body

    def empty(self) -> None:
        """Begin anew."""
        self._file.truncate(len(self._head))
        self._file.seek(0, os.SEEK_END)

    def remove(self) -> None:
        """It is gone, and nobody's any more."""
        with suppress(OSError):  # while it is still held; an empty journal that cannot go does no harm
            self.path.unlink()
        self._file.close()

    def close(self) -> None:
        """It stays, and is nobody's any more."""
        self._file.close()


def write_whole(file: IO[bytes], record: bytes) -> None:
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
