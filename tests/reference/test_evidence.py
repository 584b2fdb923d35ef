"""The register of evidence itself: it has what it must have, refuses what it must refuse, and prints the same table however it is run."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import pytest

from evidence import PHENOMENA, Claim, Row, judge, markdown, revived

pytestmark = pytest.mark.reference

ROOT = Path(__file__).parents[2]
LEAST = 150  # tests, each of which fills one row or more; 30 rows are asked


def pytest_of(*arguments: str, cwd: Path = ROOT) -> str:
    """What another pytest says; it must not hang on to this one's worker."""
    run = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *arguments]
    found = subprocess.run(run, cwd=cwd, capture_output=True, text=True, check=False, timeout=300)
    return found.stdout + found.stderr


def test_the_table_covers_every_phenomenon(tmp_path):
    """By collecting: each test that asks for the fixture fills a row at least, or fails (tests/conftest.py)."""
    file = tmp_path / "evidence.md"
    said = pytest_of("--collect-only", "-m", "evidence", f"--evidence={file}")
    assert file.is_file(), said
    rows = [line.strip("| \n").split(" | ") for line in file.read_text(encoding="utf-8").splitlines()[2:]]
    assert len(rows) >= LEAST
    assert {row[0] for row in rows} == set(PHENOMENA)
    published_rotors = {row[1] for row in rows if row[0] == "hover, thrust and torque"}
    assert {"1.1", "1.2", "1.3"} <= published_rotors  # 1.1 from Re 19,400 on


@pytest.mark.parametrize(
    ("computed", "published", "tolerance", "met"),
    [
        (1.0, 1.1, {"share": 0.1}, True),
        (1.0, 1.2, {"share": 0.1}, False),
        (1.4, 1.2, {"share": 0.1}, False),
        (0.01, 0.0, {"share": 0.1, "of": -0.2}, True),
        (-1.0, -1.2, {"absolute": 0.1}, False),
        (-1.3, -1.2, {"absolute": 0.2}, True),
        (1 + 1j, 1 + 1.05j, {"absolute": 0.1}, True),
        (1 + 1j, 1 - 1j, {"absolute": 0.1}, False),
        (1.3, 1.0, {"share": (0.0, 0.4)}, True),
        (0.9, 1.0, {"share": (0.0, 0.4)}, False),
        (1.5, 1.0, {"share": (0.0, 0.4)}, False),
        (1.0, (0.9, 1.0), {}, True),
        (1.1, (0.9, 1.0), {}, False),
        (0.8, (0.9, 1.0), {}, False),
        (math.nan, 1.0, {"share": 0.1}, False),
        (math.nan, 1.0, {"absolute": 0.1}, False),
        (math.nan, (0.9, 1.0), {}, False),
    ],
)
def test_comparisons_are_two_sided_and_nothing_is_met_by_nan(computed, published, tolerance, met):
    error, allowed, _, found = judge(computed, published, **{"share": None, "of": None, "absolute": None, **tolerance})
    assert found is met
    if not math.isnan(abs(computed)):
        assert (
            error >= allowed[0] and error <= allowed[1] if isinstance(allowed, tuple) else abs(error) <= allowed
        ) is met


@pytest.mark.parametrize(
    ("published", "tolerance"), [(1.0, {}), (1.0, {"share": 0.1, "absolute": 0.1}), ((1.0, 2.0), {"share": 0.1})]
)
def test_one_tolerance_and_only_one(published, tolerance):
    with pytest.raises(TypeError):
        judge(1.0, published, **{"share": None, "of": None, "absolute": None, **tolerance})


SMALL = """
import numpy as np
import pytest

pytestmark = pytest.mark.phenomenon("belt", source="7", why="for a try")


@pytest.mark.parametrize("k", range(6))
def test_met(evidence, k):
    evidence(f"met {k} | bar", np.float64(1.0), np.float64(1.01), np.float64(0.02), np.float64(1.01), unit="N")


@pytest.mark.xfail(reason="too much")
def test_missed(evidence):
    evidence("missed", 2.0, 1.0, 0.1)


def test_failing(evidence):
    evidence("failing", 3.0, (1.0, 2.0))


def test_silent(evidence):
    pass


@pytest.mark.phenomenon("magic")
def test_unknown(evidence):
    evidence("unknown", 1.0, 1.0, 0.1)


@pytest.mark.phenomenon(source="99")
def test_unsourced(evidence):
    evidence("unsourced", 1.0, 1.0, 0.1)
"""


def test_misses_are_kept_and_two_workers_print_what_one_prints(tmp_path):
    """A folder with the same conftest. Failures, and tests that would be counted for nothing, fail."""
    (tmp_path / "tests").mkdir()
    for name in ("conftest.py", "evidence.py"):
        text = (ROOT / "tests" / name).read_text(encoding="utf-8")
        (tmp_path / "tests" / name).write_text(text, encoding="utf-8")
    for name in ("pyproject.toml", "sim/paddlebar/docs/inside/sources.md"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text((ROOT / name).read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "tests" / "test_small.py").write_text(SMALL, encoding="utf-8")
    tables = {}
    for workers in ("0", "2"):
        said = pytest_of("-n", workers, "-m", "evidence", "--evidence=table.md", cwd=tmp_path)
        assert "6 passed" in said, said
        assert "1 xfailed" in said
        assert "test_silent asks for evidence and records none" in said
        assert "'magic' is none of PHENOMENA" in said
        assert "KeyError: '99'" in said
        tables[workers] = (tmp_path / "table.md").read_text(encoding="utf-8")
    assert tables["0"] == tables["2"]
    lines = tables["0"].splitlines()
    assert lines[2] == "| belt | 8 | 2 | 7 |"
    lines = lines[4:]
    assert len(lines) == 2 + 8 + 2
    assert [line.split(" | ")[1].split()[1] for line in lines[2:8]] == list("012345")
    assert "met 0 \\| bar" in lines[2]
    assert "7: sticks, wire" in lines[2]
    assert "| 1.01 N | 1 N | -0.99 % | 2 % | for a try | met |" in lines[2]
    assert "missed: too much" in lines[8]
    assert lines[9].endswith("| FAILED |")
    assert lines[-1] == "8 rows, 2 missed."


def test_a_row_survives_the_way_through_a_report():
    claim = Claim("belt", "7", "because")
    row = Row(claim, "q", "m", (1.0, 2.0), 1.5, 0.0, 0.0, False, True, (3, 1))
    from dataclasses import asdict

    assert revived([("other", 1), ("evidence", asdict(row))]) == [row]
    assert "| 1 to 2 m | 1.5 m | inside | the span | because | met |" in markdown([(row, "")])
