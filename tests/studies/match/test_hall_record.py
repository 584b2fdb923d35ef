"""The record that ships is what its maker makes, and says so."""

from __future__ import annotations

import csv
import io

import pytest

from paddlebar.files.flight_record import read_flight_record
from studies.match.make_hall_record import ROWS, SCENARIOS, bench_text, record_text

LAST_DIGIT = {
    "duration_s": 0.1,
    "peak_height_m": 0.01,
    "turns_left": 1.0,
    "rotor_rpm": 1.0,
    "thrust_g": 0.01,
    "torque_mN_m": 0.01,
}


@pytest.mark.parametrize(("file", "make"), [("hall-record.csv", record_text), ("hall-skein-bench.csv", bench_text)])
def test_shipped_records_are_what_the_simulator_makes(file, make):
    """To ten times the last digit: another processor, another libm. Whoever changes the physics makes them anew."""
    shipped, made = ((SCENARIOS / file).read_text(encoding="utf-8"), make())
    assert shipped.startswith("# INVENTED: made by the simulator with noise")
    one, other = (list(csv.DictReader(io.StringIO(text.split("\n", 1)[1]))) for text in (shipped, made))
    assert len(one) == len(other)
    for a, b in zip(one, other, strict=True):
        for name, cell in a.items():
            if name in LAST_DIGIT and cell:
                assert float(cell) == pytest.approx(float(b[name]), abs=10.0 * LAST_DIGIT[name])
            elif name == "reading" and cell:
                assert float(cell) == pytest.approx(float(b[name]), abs=0.5)
            else:
                assert cell == b[name]


def test_the_shipped_record_is_read():
    record = read_flight_record(SCENARIOS / "hall-record.csv")
    assert [row.kind for row in record.rows] == [row.kind for row in ROWS]
    assert sum(len(row.readings) for row in record.rows) == 16
