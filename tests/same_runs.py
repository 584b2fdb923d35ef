"""Are two run files the same flights? Every dataset and every attribute but stamps of when, how long and with what it was computed.

    python tests/same_runs.py A.h5 B.h5 --within 1e-9        exit code 0: within that, 1: not

Numbers are compared over the scale of their quantity, the largest that either file holds of it: of a vector its components together, of the
ledger its largest entry, since all entries are parts of one sum. Words must be the same, and so must the number of samples.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import h5py
import numpy as np

STAMPS = ("created", "wall_s", "versions", "program_version")  # of when, how long, with what
DIMENSIONS = (
    "CLASS",
    "NAME",
    "DIMENSION_LIST",
    "REFERENCE_LIST",
)  # h5py's own attributes of scales: references within the file


class Difference(NamedTuple):
    """Of one quantity: where it stands, largest difference over its scale (inf: not comparable), what is seen."""

    where: str
    size: float
    says: str


def differences(a: Path, b: Path) -> list[Difference]:
    """Of every dataset and attribute, largest first; a size of 0 is the same to the last bit, nan beside nan included."""
    with h5py.File(a, "r") as one, h5py.File(b, "r") as other:
        return sorted(_groups(one, other, math.nan), key=lambda found: -found.size)


def _groups(one: Any, other: Any, energy: float) -> Iterator[Difference]:
    yield from _attributes(one, other)
    if not isinstance(one, h5py.Group):
        return
    if set(one) != set(other):
        yield Difference(one.name, math.inf, f"holds {sorted(set(one) ^ set(other))} in one file alone")
    if one.name.endswith("/ledger"):
        energy = max(
            float(np.abs(values[()]).max())
            for group in (one, other)
            for name, values in group.items()
            if name != "time"
        )
    for name in sorted(set(one) & set(other)):
        here, there = one[name], other[name]
        if isinstance(here, h5py.Dataset) and isinstance(there, h5py.Dataset):
            yield _arrays(here.name, here[()], there[()], energy)
        elif type(here) is not type(there):
            yield Difference(here.name, math.inf, "is a group in one file and a dataset in the other")
            continue
        yield from _groups(here, there, energy)


def _attributes(one: Any, other: Any) -> Iterator[Difference]:
    names = {key for holder in (one, other) for key in holder.attrs if key not in (*STAMPS, *DIMENSIONS)}
    for key in sorted(names):
        where = f"{one.name}@{key}"
        if key not in one.attrs or key not in other.attrs:
            yield Difference(where, math.inf, "stands in one file alone")
            continue
        here, there = one.attrs[key], other.attrs[key]
        if isinstance(here, str) and here[:1] in ("{", "["):
            yield from _values(where, json.loads(here), json.loads(there))
        else:
            yield from _values(where, here, there)


def _values(where: str, here: Any, there: Any) -> Iterator[Difference]:
    if isinstance(here, dict) and isinstance(there, dict):
        for key in sorted({*here, *there} - {*STAMPS}):
            yield from _values(f"{where}.{key}", here.get(key), there.get(key))
    elif isinstance(here, list) and isinstance(there, list) and len(here) == len(there):
        for index, pair in enumerate(zip(here, there, strict=True)):
            yield from _values(f"{where}[{index}]", *pair)
    elif isinstance(here, float) and isinstance(there, float):
        yield _arrays(where, np.array([here]), np.array([there]), math.nan)
    else:
        same = type(here) is type(there) and bool(np.all(here == there))
        yield Difference(where, 0.0 if same else math.inf, "" if same else f"{here!r} against {there!r}"[:160])


def _arrays(where: str, here: Any, there: Any, scale: float) -> Difference:
    if here.shape != there.shape or here.dtype != there.dtype:
        return Difference(where, math.inf, f"{here.dtype}{here.shape} against {there.dtype}{there.shape}")
    if here.dtype.kind != "f":
        return Difference(where, 0.0 if np.array_equal(here, there) else math.inf, "not the same")
    if np.array_equal(here, there, equal_nan=True):
        return Difference(where, 0.0, "")
    if not np.array_equal(np.isfinite(here), np.isfinite(there)):
        return Difference(where, math.inf, "a figure in one file, none in the other")
    off, both = np.abs(here - there), np.abs(np.concatenate([here.ravel(), there.ravel()]))
    off, whole = np.nan_to_num(off, nan=0.0), scale if math.isfinite(scale) else float(both[np.isfinite(both)].max())
    place = np.unravel_index(int(off.argmax()), off.shape)
    return Difference(
        where, float(off.max() / whole), f"{here[place]!r} against {there[place]!r} at {tuple(map(int, place))}"
    )


def versions(a: Path, b: Path) -> str:
    """What the two files were made with, where that differs."""
    told = []
    for path in (a, b):
        with h5py.File(path, "r") as file:
            told.append(json.loads(file.attrs["versions"]))
    other = [key for key in told[0] if told[0][key] != told[1].get(key)]
    return (
        "; ".join(f"{key} {told[0][key]} and {told[1].get(key)}" for key in other) or "the same versions of everything"
    )


def main() -> None:
    """See above."""
    parser = argparse.ArgumentParser(description="compare two run files")
    parser.add_argument("files", type=Path, nargs=2)
    parser.add_argument(
        "--within", type=float, default=0.0, help="largest difference over the scale of each quantity [0: bit for bit]"
    )
    parser.add_argument("--show", type=int, default=3, help="how many of the largest differences are shown")
    asked = parser.parse_args()
    found = differences(*asked.files)
    print(versions(*asked.files))
    for each in [each for each in found if each.size > 0.0][: asked.show]:
        print(f"{each.size:.1e} {each.where} {each.says}")
    refused = [each for each in found if not each.size <= asked.within]
    print(
        f"{asked.files[0]}: {len(found)} quantities, {sum(each.size > 0.0 for each in found)} differ, {len(refused)} by more than {asked.within:g}"
    )
    sys.exit(1 if refused else 0)


if __name__ == "__main__":
    main()
