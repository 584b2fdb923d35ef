"""Which flights go on the page: run files, folders that hold one, or flights just flown."""

from __future__ import annotations

import os
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from paddlebar.errors import BadInput
from paddlebar.flight.result import Flight
from paddlebar.record.read import RecordedFlight, read_run

RUN_FILE: Final = "run.h5"

AnyFlight = Flight | RecordedFlight
Source = AnyFlight | str | os.PathLike[str]


def run_file(run: str | os.PathLike[str]) -> Path:
    """The run file itself, where a folder is named that holds one."""
    path = Path(run)
    return path / RUN_FILE if path.is_dir() else path


def chosen(run: Source, number: int = 1) -> tuple[AnyFlight, str]:
    """A flight, and what errors call it.

    number : which flight of a file, from 1
    Raises : BadInput for a file that is not there or holds fewer flights; NotARunFile for another kind of file
    """
    if isinstance(run, Flight | RecordedFlight):
        return run, "flight"
    path = run_file(run)
    try:
        flights = read_run(path)
    except FileNotFoundError:
        raise BadInput(f"{path}: no such run file{_near(path)}") from None
    except OSError as error:
        raise BadInput(f"{path}: cannot be read ({error.strerror or error})") from error
    if number > len(flights):
        count = "1 flight" if len(flights) == 1 else f"{len(flights)} flights"
        raise BadInput(f"{path}: flight should be at most {len(flights)}, the file holds {count}; found {number}")
    return flights[number - 1], str(path)


def _near(path: Path) -> str:
    """A run file close by that may have been meant."""
    folder = path.parent
    while not folder.is_dir() and folder != folder.parent:
        folder = folder.parent
    there = [str(each.relative_to(folder)) for each in (*folder.glob("*.h5"), *folder.glob(f"*/{RUN_FILE}"))]
    wanted = str(path.relative_to(folder)) if path.is_relative_to(folder) else path.name
    close = get_close_matches(wanted, there, n=1)
    return f"; did you mean {folder / close[0]}?" if close else "; fly first: paddlebar fly SCENARIO"
