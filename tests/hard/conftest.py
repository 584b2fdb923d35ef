"""A run file to look at, flown once for all that need one."""

from __future__ import annotations

from pathlib import Path

import pytest

from hard.commands import SHORT, prepared
from paddlebar import fly, load_scenario
from paddlebar.record.write import write_run


@pytest.fixture(scope="session")
def run_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = prepared(tmp_path_factory.mktemp("flown"))
    path = folder / "run.h5"
    write_run(path, [fly(load_scenario(folder / "hop.toml", SHORT))])
    return path
