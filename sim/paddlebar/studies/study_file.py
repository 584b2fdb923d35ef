"""A study file: begun with its columns, and read, wherever it comes from: nothing outside it is opened, no more is read than it can hold."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, Final

import h5py
import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.flight.labelled import CONVENTIONS
from paddlebar.record.guarded import Guard
from paddlebar.units import udunits

Refuse = Callable[[str, str], BadInput]

TEXTS: Final = ("identity", "names_in", "names_out")


def program_version() -> str:
    """Version of the program, as in run files."""
    try:
        return version("paddlebar")
    except PackageNotFoundError:  # run from a source tree that was never installed
        return "not installed"


def begin_file(
    file: h5py.File,
    filetype: str,
    form: int,
    texts: Mapping[str, Any],
    seed: int,
    rows: int,
    told: Mapping[str, Mapping[str, Any]],
) -> dict[str, h5py.Dataset]:
    """Head, texts and empty columns of a study file.

    texts   : see TEXTS;  rows : how many;  told : column -> further attributes
    Returns : columns by name, "index" and "ending" among them
    """
    file.attrs["filetype"], file.attrs["format"] = filetype, form
    file.attrs["program_version"], file.attrs["Conventions"] = program_version(), CONVENTIONS
    about, group = file.create_group("about"), file.create_group("study")
    about.attrs["seed"] = seed
    for name in TEXTS:  # datasets, not attributes: those may not be longer than 64 KiB
        kind = h5py.string_dtype("utf-8")
        about.create_dataset(name, data=json.dumps(texts[name]), dtype=kind, track_times=False)
    columns = {
        name: group.create_dataset(name, shape=(rows,), dtype="i8", track_times=False) for name in ("index", "ending")
    }
    columns["index"].make_scale("index")
    columns["index"].attrs["long_name"] = "number of the evaluation, from 0"
    columns["ending"].attrs["long_name"] = "how it ended"
    for role in ("input", "output"):
        for name in texts["names_in" if role == "input" else "names_out"]:
            column = columns[name] = group.create_dataset(name, shape=(rows,), dtype="f8", track_times=False)
            column.attrs["units"] = udunits(name)
            column.attrs["role"] = role
    for name, column in columns.items():
        if name != "index":
            column.dims[0].attach_scale(columns["index"])
        for word, value in told.get(name, {}).items():
            column.attrs[word] = value
    return columns


@contextmanager
def readable(path: Path) -> Iterator[None]:
    """Whatever h5py and json raise about a file from anywhere becomes one sentence."""
    try:
        yield
    except BadInput:
        raise
    except (OSError, RuntimeError, LookupError, TypeError, ValueError, AttributeError) as error:
        raise BadInput(
            f"{path}: not a study file: damaged, or of another kind ({(str(error).splitlines() or [type(error).__name__])[0]})"
        ) from error


def check_head(path: Path, file: h5py.File, filetype: str, newest: int) -> None:
    """Raise BadInput unless it is a complete file of this type, of a format that is known."""
    kind, complete, number = (_single(file, name) for name in ("filetype", "complete", "format"))
    if kind != filetype or not isinstance(complete, np.bool_ | np.integer) or not complete:
        raise BadInput(f"{path}: not a study file of this program; choose another --out")
    if not isinstance(number, int | np.integer) or number < 1:
        raise BadInput(f"{path}: not a study file: format {number}")
    if number < newest:
        raise BadInput(
            f"{path}: study of format {number}, of an earlier version; choose another --out, or remove the file"
        )
    if number > newest:
        raise BadInput(f"{path}: study of format {number}, this program reads up to {newest}")


def read_texts(path: Path, file: h5py.File) -> tuple[list[Any], int]:
    """What it is a study of and its columns' names, as written; and its seed. Raises BadInput, or what h5py and json raise."""
    guard, refuse = _guarded(path)
    group = guard.own(file, "about")
    seed = _single(group, "seed")
    texts = []
    for name in TEXTS:
        found = _dataset(guard, refuse, group, name)
        if found.shape != () or h5py.check_string_dtype(found.dtype) is None:
            raise refuse(name, "is no text")
        texts.append(json.loads(found.asstr()[()]))
    return texts, int(seed)


def open_columns(path: Path, file: h5py.File, names: Sequence[str]) -> dict[str, h5py.Dataset]:
    """The columns, "index" and "ending" among them, all of one length, none longer than the file can hold. Raises BadInput."""
    guard, refuse = _guarded(path)
    group = guard.own(file, "study")
    columns = {name: _dataset(guard, refuse, group, name) for name in ("index", "ending", *names)}
    shape = columns["index"].shape
    for name, column in columns.items():
        kind = "i8" if name in ("index", "ending") else "f8"
        if column.dtype != np.dtype(kind) or column.shape != shape or len(shape) != 1:
            raise refuse(name, f"has shape {column.shape} and type {column.dtype}")
        guard.spend(name, column.nbytes)
    return columns


def read_index(path: Path, columns: Mapping[str, h5py.Dataset]) -> NDArray[np.int64]:
    """(n,) numbers of the evaluations. Raises BadInput unless they rise."""
    index: NDArray[np.int64] = columns["index"][()]
    if (np.diff(index) <= 0).any():
        raise BadInput(f"{path}: not a study file: its index does not rise")
    return index


def _single(holder: Any, name: str) -> Any:
    """A single value of an attribute, None if there is none."""
    if name not in holder.attrs or holder.attrs.get_id(name).shape != ():
        return None
    return holder.attrs[name]


def _guarded(path: Path) -> tuple[Guard, Refuse]:
    def refuse(where: str, why: str) -> BadInput:
        return BadInput(f"{path}: not a study file: {where.rpartition('/')[2]} {why}")

    return Guard(path.stat().st_size, refuse), refuse


def _dataset(guard: Guard, refuse: Refuse, group: h5py.Group, name: str) -> h5py.Dataset:
    found = guard.own(group, name)
    if not isinstance(found, h5py.Dataset):
        raise refuse(name, "is no dataset")
    guard.inside(name, found)
    return found
