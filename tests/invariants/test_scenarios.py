"""Every scenario that ships: it loads, flies, and its energy is accounted for at the default tolerance, tumbling ones included.

What each is there to show: tests/test_shipped.py.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from paddlebar.api import fly, load_scenario

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_the_ledger_of_every_shipped_scenario_closes(path):
    """To 0.1 % of the energy let out (design.md section 3). Last seen: at most 4e-5, cord-off and reversed-link, tumbling.

    Seen to fail with the bar's power left out of the ledger, and with the cord's slip loss of the wrong sign.
    """
    flight = fly(load_scenario(path))
    assert flight.complete
    if flight.time.size == 1:  # it broke before it began: nothing was let out that could be lost
        assert flight.outcome == "broke"
        assert np.isnan(flight.energy_error)
        return
    assert flight.energy_error < 1e-3
    assert np.isfinite(flight.position).all()
    parts = sum(value for name, value in flight.ledger.items() if name not in ("skein", "residual"))
    assert flight.ledger["skein"] - parts == pytest.approx(flight.ledger["residual"], abs=1e-12)


def test_all_scenarios_say_that_they_are_invented():
    for path in (*SCENARIOS, *(SCENARIOS[0].parents[1] / "models").glob("*.toml")):
        assert "INVENTED" in path.read_text(encoding="utf-8").splitlines()[0], path.name
