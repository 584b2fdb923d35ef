"""A lead far from the rule is looked at, of either sense of the linkage; one near it is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from paddlebar import check, load_scenario

SCENARIO = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"


@pytest.mark.parametrize(
    ("lead", "gain", "looked_at"),
    [
        (102.0, 0.46, False),
        (12.0, 0.46, True),
        (102.0, -0.46, True),
        (-80.0, -0.46, False),
        (280.0, -0.46, False),
        (100.0, 0.0, False),
    ],
)
def test_looked_at(lead, gain, looked_at):
    craft = load_scenario(SCENARIO, {"craft.bar.lead_deg": lead, "craft.bar.gain": gain}).craft
    found = [each for each in check(craft, 300.0).findings if each.key == "bar.lead_deg"]
    assert [each.severity for each in found] == ["look"] * looked_at


def test_a_bar_that_does_not_tilt_has_no_lead():
    craft = load_scenario(SCENARIO, {"craft.bar.kind": "locked", "craft.bar.lead_deg": 12.0}).craft
    assert not [each for each in check(craft, 300.0).findings if each.key == "bar.lead_deg"]
