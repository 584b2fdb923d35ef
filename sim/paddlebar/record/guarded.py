"""HDF5 from anywhere: no link out of the place where something should stand, no storage in other files, no more than the file can hold."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import h5py

MISSING: Final = "is missing"
LINK: Final = "is a link to elsewhere"
FOREIGN: Final = "keeps its numbers in another file"


class Guard:
    """One open file: what may be looked at, and how many bytes of it may still be read.

    size   : of the file [byte]
    refuse : makes the error of a place in the file, as a path, and of what is wrong with it; all methods raise it
    """

    def __init__(self, size: int, refuse: Callable[[str, str], Exception]) -> None:
        self._refuse = refuse
        self._left = 2 * size  # an honest file is read once; the rest is room for small print

    @staticmethod
    def stands_in(group: h5py.Group, name: str) -> bool:
        """Whether a group has such a member. "name in group" opens the file an external link points to, only to see whether it is there."""
        return bool(group.id.links.exists(name.encode()))

    def own(self, group: h5py.Group, name: str) -> Any:
        """Member ``name`` of ``group`` if it stands there itself; a link to elsewhere is refused, never opened."""
        where = f"{group.name}/{name}"
        if not self.stands_in(group, name):
            raise self._refuse(where, MISSING)
        if group.id.links.get_info(name.encode()).type != h5py.h5l.TYPE_HARD:
            raise self._refuse(where, LINK)
        return group[name]

    def inside(self, where: str, found: h5py.Dataset) -> None:
        """Refuse a dataset whose numbers lie in other files."""
        if found.external or found.is_virtual:
            raise self._refuse(where, FOREIGN)

    def spend(self, where: str, size: int) -> None:
        """Before so many bytes are read."""
        self._left -= size
        if self._left < 0:
            raise self._refuse(where, f"claims {size} bytes, more than the file can hold")
