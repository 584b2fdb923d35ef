"""Made-up flights for the tests of the pictures."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from factories import made_up_flight
from paddlebar.flight.result import Flight


@pytest.fixture(scope="session")
def flight() -> Flight:
    return made_up_flight()
