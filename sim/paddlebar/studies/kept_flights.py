"""Flights that stand in a file: counted, looked at column by column, opened as labelled data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import h5py
import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.flight.endings import Outcome
from paddlebar.flight.labelled import optional
from paddlebar.studies.store import FILETYPE, FORMAT
from paddlebar.studies.study_file import check_head, open_columns, read_texts, readable

if TYPE_CHECKING:
    import xarray

Array = NDArray[np.float64]

KIND: Final = "many flights"  # what such a study calls itself
_OUTCOMES: Final = np.array([outcome.value for outcome in Outcome])


@dataclass(frozen=True)
class KeptFlights:
    """What many flights came to, in a file; ``n`` flights. Nothing is in memory but what is asked for.

    Figures are attributes with the names and units of Flights (``flights.duration_s``), arrays (n,); nan: not flown, or it never happened.
    path : of the file
    """

    path: Path

    def __len__(self) -> int:
        return self._head[0]

    def __getattr__(self, name: str) -> Array:
        if name.startswith("_") or name not in self.figures:
            raise AttributeError(f"{type(self).__name__!r} has no attribute {name!r}")
        found: Array = self._column(name)
        return found

    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *self.figures})

    def __repr__(self) -> str:
        return f"<{len(self)} flights in {self.path}: {', '.join(self.inputs) or 'nothing'} drawn>"

    @property
    def figures(self) -> tuple[str, ...]:
        """Names of the figures."""
        return self._head[2]

    @property
    def inputs(self) -> Mapping[str, Array]:
        """What was drawn: dotted key -> (n,), of a list ``key[0]`` and so on; nan where a flight left the key alone."""
        return _Inputs(self)

    @property
    def index(self) -> NDArray[np.int64]:
        """(n,) places of the flights among those that were asked for."""
        found: NDArray[np.int64] = self._column("index")
        return found

    @property
    def outcome(self) -> NDArray[np.str_]:
        """(n,) codes, see flight/endings.py."""
        found: NDArray[np.str_] = _OUTCOMES[self._column("ending")]
        return found

    @property
    def counts(self) -> dict[str, int]:
        """How many flights had each outcome that there was."""
        found = np.bincount(self._column("ending"), minlength=_OUTCOMES.size)
        return {str(name): int(n) for name, n in zip(_OUTCOMES, found, strict=True) if n}

    @property
    def failed(self) -> NDArray[np.int64]:
        """Places of those that could not be flown, or not to an end."""
        found: NDArray[np.int64] = self.index[self.outcome == Outcome.FAILED]
        return found

    def to_xarray(self) -> xarray.Dataset:
        """The file as an xarray.Dataset along ``index``, read when it is used; what was drawn are coordinates. Needs xarray and h5netcdf."""
        library = optional("xarray", "to_xarray()")
        found: xarray.Dataset = library.open_dataset(self.path, group="study", engine="h5netcdf", chunks=None)
        return found.set_coords([name for name in found.data_vars if found[name].attrs.get("role") == "input"])

    @cached_property
    def _head(self) -> tuple[int, tuple[str, ...], tuple[str, ...]]:
        with readable(self.path), h5py.File(self.path, "r") as file:
            check_head(self.path, file, FILETYPE, FORMAT)
            (identity, names_in, names_out), _ = read_texts(self.path, file)
            if identity.get("kind") != KIND:
                raise BadInput(f"{self.path}: a study, but not of many flights")
            columns = open_columns(self.path, file, (*names_in, *names_out))
            return columns["index"].size, tuple(names_in), tuple(names_out)

    def _column(self, name: str) -> Any:
        with readable(self.path), h5py.File(self.path, "r") as file:
            return open_columns(self.path, file, () if name in ("index", "ending") else (name,))[name][()]


class _Inputs(Mapping[str, Array]):
    def __init__(self, flights: KeptFlights) -> None:
        self._flights = flights

    def __len__(self) -> int:
        return len(self._flights._head[1])

    def __iter__(self) -> Iterator[str]:
        return iter(self._flights._head[1])

    def __getitem__(self, name: str) -> Array:
        if name not in self._flights._head[1]:
            raise KeyError(name)
        found: Array = self._flights._column(name)
        return found


def read_flights(path: str | PathLike[str]) -> KeptFlights:
    """Flights that fly_many wrote into a file, whether all of them are finished or not.

    path    : study file of fly_many(..., file=path)
    Returns : KeptFlights
    Raises  : BadInput, one line, for a file that is none
    """
    found = KeptFlights(Path(path))
    len(found)
    return found
