"""A description with some keys changed in Python: keys and values checked as in a file, arrays where a table is wanted."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from paddlebar.errors import BadInput
from paddlebar.files import load_craft, load_scenario
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Scenario

GOOD = Path(__file__).parent / "good"
CURVE = np.array([[0.0, 0.0], [50.0, 2.0], [200.0, 3.0], [500.0, 6.0]])
CHANGES = {"craft.bar.gain": 0.4, "launch.tilt_deg": 3.0, "craft.part.stick.mass_g": 2.0, "skein.turns": 300.0}


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return load_scenario(GOOD / "flight.toml")


def test_it_is_what_the_file_with_overrides_is(scenario):
    """What the weighed total follows, and which texts it came from, included."""
    found = scenario.replace(CHANGES)
    assert found == load_scenario(GOOD / "flight.toml", CHANGES)
    assert found.source_text == scenario.source_text
    assert found.craft.before == scenario.craft
    assert scenario == load_scenario(GOOD / "flight.toml")


def test_a_craft_alone_and_put_into_a_flight(scenario):
    craft = load_craft(GOOD / "craft.toml").replace({"bar.gain": 0.3})
    assert craft.bar.gain == 0.3
    assert scenario.replace({"craft": craft, "craft.bar.lead_deg": 95.0}).craft.bar.lead_deg == 95.0
    assert scenario.replace({"craft": craft}).craft.bar.gain == 0.3


def test_what_follows_another_key_goes_on_following(scenario):
    assert scenario.replace({"air.wind_from_deg": 90.0}).air.gust_from_deg == 90.0


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"launch.tilt_rad": 1.0}, "overrides: launch.tilt_rad: no such key; did you mean tilt_deg?"),
        ({"craft.bar.gian": 1.0}, "overrides: craft.bar.gian: no such key; did you mean gain?"),
        ({"craft.bar.gain": 9.0}, "overrides: craft.bar.gain: input should be less than or equal to 5, found 9.0"),
        ({"craft": "x.toml"}, "overrides: craft: input should be a Craft, found 'x.toml'; load_craft reads one"),
        ({"craft.rotor.section": 3}, "overrides: craft.rotor.section: input should be 'cambered plate', "),
        ({"craft.rotor.section": np.zeros((4, 2))}, "overrides: craft.rotor.section: rows should be finite numbers"),
        ({"craft.rotor.section": [[0, 0, 1], [1, 0]]}, "overrides: craft.rotor.section: rows should be finite numbers"),
        ({"craft.skein.measured": np.zeros((4, 2))}, "overrides: craft.skein.measured: row 2: turns: should increase"),
    ],
)
def test_a_slip_costs_one_line(scenario, changes, says):
    with pytest.raises(BadInput) as caught:
        scenario.replace(changes)
    assert str(caught.value).startswith(says)


def test_numpy_and_pandas_wherever_a_table_or_a_number_is(scenario):
    pandas = pytest.importorskip("pandas")
    wanted = tuple(map(tuple, CURVE.tolist()))
    table = pandas.DataFrame(CURVE, columns=["turns", "torque_mN_m"])
    for given in (CURVE, CURVE.astype(np.float32), table, CURVE.tolist()):
        assert scenario.replace({"craft.skein.measured": given}).craft.skein.measured == wanted
    found = scenario.replace({"craft.rotor.blades": np.int64(2), "launch.push_m_s": np.array([0.1, 0.0, 0.0])})
    assert found.craft.rotor.blades == 2
    assert found.launch.push_m_s == (0.1, 0.0, 0.0)
    assert scenario.replace({"air.turbulence": np.bool_(True)}).air.turbulence is True


def test_a_section_of_rows_stands_in_the_description_itself(scenario):
    rows = np.array([[-5.0, -0.4, 0.06], [0.0, 0.2, 0.04], [5.0, 0.7, 0.06]])
    found = scenario.replace({"craft.rotor.section": rows, "craft.bar.paddle_section": np.c_[rows, [2e4] * 3, [0] * 3]})
    assert isinstance(found.craft, Craft)
    assert found.craft.rotor.section == tuple(map(tuple, rows.tolist()))
    from paddlebar.files.load import parse_scenario

    assert parse_scenario(found.effective_toml()).craft == found.craft
