"""What a user waits for: imports, help, the first flight on a machine and later ones, each in a fresh process."""

from __future__ import annotations

import functools
import tempfile

from benchmarks.common import SCENARIOS, process

COMMAND = ("-c", "from paddlebar.cli.main import main; main()")
TIMES = 3  # the least of them counts
FIRST = str(SCENARIOS / "first-flight.toml")
NOTHING_COMPILED = tempfile.TemporaryDirectory


@functools.cache
def warmed() -> None:
    """Compiled code and the disk's cache are there from now on."""
    with tempfile.TemporaryDirectory() as out:
        process(*COMMAND, "fly", FIRST, "--out", out)


class Start:
    """Seconds from the shell's point of view."""

    timeout = 300

    def setup(self) -> None:
        warmed()

    def track_import(self) -> float:
        """Import paddlebar: names are loaded on first use."""
        return min(process("-c", "import paddlebar") for _ in range(TIMES))

    def track_import_all(self) -> float:
        """Everything that flying needs: numba, scipy, pydantic."""
        return min(process("-c", "from paddlebar import fly, load_scenario") for _ in range(TIMES))

    def track_help(self) -> float:
        """The command's help."""
        return min(process(*COMMAND, "--help") for _ in range(TIMES))

    def track_later_flight(self) -> float:
        """The first scenario from file to table, run file and five pictures."""
        with tempfile.TemporaryDirectory() as out:
            return min(process(*COMMAND, "fly", FIRST, "--out", out) for _ in range(TIMES))

    def track_first_flight(self) -> float:
        """The same with nothing compiled yet."""
        with tempfile.TemporaryDirectory() as out, NOTHING_COMPILED() as cache:
            return process(*COMMAND, "fly", FIRST, "--out", out, NUMBA_CACHE_DIR=cache)

    track_import.unit = track_import_all.unit = track_help.unit = "s"
    track_later_flight.unit = track_first_flight.unit = "s"
