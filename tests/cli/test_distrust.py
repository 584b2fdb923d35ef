"""A flight whose solver was told to be loose is not believed, even where its energy adds up."""

from __future__ import annotations

import pytest

from paddlebar.cli.fly_words import opening


def said(method: str, rtol: float, error: float = 2.8e-4) -> str:
    solver = {"method": method, "rtol": rtol, "failure": None}
    summary = {"sentence": "still in the air", "faults": [], "energy_error": error, "solver": solver}
    return " ".join(opening(summary)[1:])


@pytest.mark.parametrize(("method", "rtol"), [("BDF", 1e-2), ("LSODA", 1e-2), ("RK23", 1e-4), ("RK45", 1e-3)])
def test_a_loose_solver_is_named(method, rtol):
    """BDF at 1e-2 was 1.3 m and 33 degrees off after 5 s, its ledger out by 0.08 %."""
    assert f"{method} at run.rtol = {rtol:g} may be far off" in said(method, rtol)


@pytest.mark.parametrize(("method", "rtol"), [("DOP853", 1e-2), ("BDF", 1e-5), ("RK45", 1e-4), ("Radau", 1e-4)])
def test_a_tight_one_is_believed(method, rtol):
    assert said(method, rtol) == ""


def test_a_ledger_that_is_open_comes_first():
    assert "of the energy is not accounted for" in said("BDF", 1e-2, 0.02)


@pytest.mark.parametrize(("off_m", "said_so"), [(0.088, True), (0.002, False), (None, False)])
def test_an_error_that_was_asked_for_stands_first_and_is_named_where_it_is_large(off_m, said_so):
    """A craft that tumbles: both flights close their ledgers, and end apart."""
    solver = {"method": "DOP853", "rtol": 1e-5, "failure": None}
    estimate = {"rtol": 1e-7, "position_m": off_m, "attitude_deg": 0.1, "duration_s": 0.0, "outcome": "crashed"}
    faults = [{"code": "x", "sentence": "spun", "from_s": 1.0, "matters": True}]
    summary = {"sentence": "down", "faults": faults, "energy_error": 1e-6, "solver": solver, "error_estimate": estimate}
    lines = opening(summary)
    assert lines[1].startswith("error, from the same flight at rtol 1e-07")
    assert lines[1].endswith("distrust its later part") == said_so
