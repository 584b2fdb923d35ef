"""A force with a row of the ledger is said once, in the layout: every sum, table and picture of the ledger then holds it.

Broken : the tally's sum over the rows from the first loss to the airframe only; the picture's and the run-down's own lists of rows: each refused.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import paddlebar
from flight import one_force_more
from flight.one_force_more import LABEL, PART
from paddlebar.craft.build import build
from paddlebar.flight import layout
from paddlebar.flight.own import pushed


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Answers of the program with one force more."""
    folder = tmp_path_factory.mktemp("more")
    one_force_more.copy_into(folder)
    paths = [str(folder), *(path for path in sys.path if path and Path(path).name != "sim")]
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": os.pathsep.join(paths)}
    command = [sys.executable, one_force_more.__file__, str(folder)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout))


def test_both_steppers_close_the_ledger(found: dict[str, Any]) -> None:
    """The rotor is thrown turning, so the force takes ten times what the skein lets out; what is missing is a millionth of that."""
    share = found["ledger"][LABEL] / found["ledger"]["skein"]
    assert share > 5.0
    assert found["scipy's gap"] < 1e-6 * share
    assert found["compiled gap"] < 1e-6 * share


def test_every_reader_of_the_ledger_has_the_row(found: dict[str, Any]) -> None:
    assert list(found["ledger"])[8] == LABEL  # after what else the air took
    assert found["run file"] == list(found["ledger"])
    assert LABEL in found["rows of the table"]
    assert f"area: air, by {PART}" in found["areas"]


def test_the_yaw_study_has_the_row_and_its_power(found: dict[str, Any]) -> None:
    assert found["yaw"]["streamer_power_mw"] > 5.0 * found["yaw"]["skein_power_mw"]
    assert PART in found["lines of the yaw study"]


def test_a_force_of_ones_own_flies_as_the_same_in_the_equations(found: dict[str, Any]) -> None:
    """The compiled function against the copy of the source, its work against the streamer's row, after fifty steps: to 1e-12."""

    def streamer(t, seen, craft):
        u, v, w = seen.velocity_body
        return -0.04 * u, -0.04 * v, -0.04 * w

    scenario = paddlebar.load_scenario(
        one_force_more.REPOSITORY / "scenarios" / "first-flight.toml", one_force_more.CHANGES
    )
    tied = pushed(scenario, streamer)
    own, copy = one_force_more.in_fixed_steps(tied, build(tied)), np.array(found["in fixed steps"])
    row = int(layout.FLAP)  # the copy has its row before the flapping
    apart = np.abs(own - np.append(np.delete(copy, row), copy[row])) / layout.scales(1, own=True)
    print(f"largest difference {apart.max():.2g} of a state's scale, work {own[-1]:.3g} J")
    assert own[-1] > 1e-4
    assert apart.max() < 1e-12


def test_rows_of_the_ledger_are_those_in_joules() -> None:
    """Each label, and each name of a power, once."""
    assert [row.name for row in layout.LAYOUT if row.unit == "J"] == [row.name for row in layout.LAYOUT if row.entry]
    labels = [entry.label for entry in layout.ENTRIES]
    powers = [entry.power for entry in layout.ENTRIES if entry.power]
    assert len(set(labels)) == len(labels) == len(layout.WORKS) == 7
    assert len(set(powers)) == len(powers)
    assert {layout.name_of(index, 0).entry for index in layout.WORKS} == set(layout.ENTRIES)
