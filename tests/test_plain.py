"""Plain data of whatever a verb finds."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from paddlebar.plain import FORMAT, document, of_fields, plain


@dataclass(frozen=True)
class Inner:
    at: Path
    size: float


@dataclass(frozen=True)
class Outer:
    name: str
    inner: tuple[Inner, ...]
    table: np.ndarray


class Polar:
    """Something whose JSON is not its fields."""

    def to_json(self):
        return {"size": np.float64(2.0), "angle": math.nan}


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (np.float64(1.5), 1.5),
        (np.int64(3), 3),
        (np.bool_(True), True),
        (np.array([[1.0, math.nan], [math.inf, -math.inf]]), [[1.0, None], [None, None]]),
        (np.array(["a", "b"]), ["a", "b"]),
        ((1, 2.0, None, "x", True), [1, 2.0, None, "x", True]),
        ({1: math.nan, "k": (math.inf,)}, {"1": None, "k": [None]}),
        (Path("a/b"), "a/b"),
        (Polar(), {"size": 2.0, "angle": None}),
        (
            Outer("o", (Inner(Path("x"), math.nan),), np.arange(2)),
            {"name": "o", "inner": [{"at": "x", "size": None}], "table": [0, 1]},
        ),
    ],
)
def test_plain(value, expected):
    found = plain(value)
    assert found == expected
    assert json.loads(json.dumps(found, allow_nan=False)) == expected


def test_fields_come_in_their_order():
    assert list(of_fields(Outer("o", (), np.zeros(0)))) == ["name", "inner", "table"]


def test_a_document_is_ascii_and_tells_its_format():
    text = document({"title": "Höhe ✓ \udcff", "rate": math.nan})
    assert text.isascii()
    assert json.loads(text) == {"format": FORMAT, "title": "Höhe ✓ \udcff", "rate": None}
    assert isinstance(FORMAT, int)
