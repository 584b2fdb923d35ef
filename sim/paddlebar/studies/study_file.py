"""Reading a study file, which may come from anywhere: nothing outside it is opened, no more is read than it can hold."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import h5py
import numpy as np

from paddlebar.errors import BadInput
from paddlebar.record.guarded import Guard

Refuse = Callable[[str, str], BadInput]

TEXTS: Final = ("identity", "names_in", "names_out")
COLUMNS: Final = {"index": "i8", "inputs": "f8", "outputs": "f8", "ending": "i8", "flag": "bool"}


def check_head(path: Path, file: h5py.File, filetype: str, newest: int) -> None:
    """Raise BadInput unless it is a complete file of this type, of a format that is known."""
    kind, complete, number = (_single(file, name) for name in ("filetype", "complete", "format"))
    if kind != filetype or not isinstance(complete, np.bool_ | bool) or not complete:
        raise BadInput(f"{path}: not a study file of this program; choose another --out")
    if not isinstance(number, int | np.integer) or number < 1:
        raise BadInput(f"{path}: not a study file: format {number}")
    if number > newest:
        raise BadInput(f"{path}: study of format {number}, this program reads up to {newest}")


def read_texts(path: Path, file: h5py.File) -> tuple[list[Any], int]:
    """What it is a study of and its columns' names, as written; and its seed. Raises BadInput, or what h5py and json raise."""
    guard, refuse = _guarded(path)
    group = guard.own(file, "study")
    seed = _single(group, "seed")
    texts = []
    for name in TEXTS:
        found = _dataset(guard, refuse, group, name)
        if found.shape != () or h5py.check_string_dtype(found.dtype) is None:
            raise refuse(name, "is no text")
        texts.append(json.loads(found.asstr()[()]))
    return texts, int(seed)


def read_columns(path: Path, file: h5py.File, sizes: tuple[int, int]) -> list[Any]:
    """index, inputs, outputs, ending, flag, one row an evaluation; sizes: of a row of inputs and of outputs. Raises BadInput."""
    guard, refuse = _guarded(path)
    group = guard.own(file, "study")
    found = [_dataset(guard, refuse, group, name) for name in COLUMNS]
    shapes = {"inputs": sizes[0], "outputs": sizes[1]}
    n = found[0].shape[0] if found[0].shape else 0
    for (name, kind), column in zip(COLUMNS.items(), found, strict=True):
        wanted = (n, shapes[name]) if name in shapes else (n,)
        if column.dtype != np.dtype(kind) or column.shape != wanted:
            raise refuse(name, f"has shape {column.shape} and type {column.dtype}")
        guard.spend(name, column.nbytes)
    return [column[()] for column in found]


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
