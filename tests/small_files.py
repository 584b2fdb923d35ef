"""A disk with hardly any room left, as far as one process may be told of it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

resource = pytest.importorskip("resource")


@contextmanager
def small_files(size: int) -> Iterator[None]:
    """No file may grow beyond so many bytes.

    Nor may Python keep bytecode meanwhile: up to 3.11 it takes a file that was cut short for a whole one, and whoever imports that module
    from then on fails.
    """
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    before, sys.dont_write_bytecode = sys.dont_write_bytecode, True
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        sys.dont_write_bytecode = before
