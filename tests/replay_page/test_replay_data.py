"""What the page and the film are told of a flight.

Tried once on broken code, each failed here: lead of the bar of the wrong sign, one blade's sense of flapping, the offset of a column.
"""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import tomlkit
from scipy.spatial.transform import Rotation

from factories import as_recorded, made_up_flight
from paddlebar.errors import NotARunFile
from paddlebar.files.load import parse_scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.pose import hermite, swept_normal
from paddlebar.record.write import image_of
from paddlebar.replay_page.data import columns_of, packed, page_data
from paddlebar.replay_page.shape import STATIONS, craft_shape
from paddlebar.replay_page.shape import scenario_of as described
from paddlebar.replay_page.wire import wires
from replay_page.conftest import CRAFT, scenario_of


@pytest.mark.parametrize("name", list(CRAFT))
def test_the_film_s_lines_end_where_the_equations_have_them(name, recorded, landmarks):
    flight = recorded(name)
    craft = scenario_of(CRAFT[name]).craft
    times = flight.time[[0, 11, 23, -1]]
    drawn = wires(craft, columns_of(flight, craft), times)
    for m, k in enumerate((0, 11, 23, flight.time.size - 1)):
        told = landmarks(flight, name, k)
        assert drawn.hub[m] == pytest.approx(told["hub"], abs=1e-9)
        assert drawn.parts["bar"][0][m] == pytest.approx(np.array(told["bar"]), abs=1e-9)
        for outline, tip in zip(drawn.parts["blade 1"] + drawn.parts["blades"], told["blades"], strict=True):
            front, rear = outline[m, STATIONS], outline[m, STATIONS + 1]  # hub, front edge outwards, rear edge inwards
            share = craft.rotor.feather_axis_percent / 100.0
            assert front + share * (rear - front) == pytest.approx(tip, abs=1e-9)
            assert np.linalg.norm(rear - front) == pytest.approx(1e-3 * craft.rotor.tip_chord_mm, abs=1e-9)


@pytest.mark.parametrize("name", list(CRAFT))
def test_the_page_s_numbers_put_tips_where_the_equations_have_them(name, recorded, landmarks):
    """Composed as page/src/craft.js does: groups in each other, each turned about an axis of its own by hand, lead and angles."""
    flight = recorded(name)
    craft = scenario_of(CRAFT[name]).craft
    shape, columns = craft_shape(craft), columns_of(flight, craft)
    hub, blades, bar, hand = shape["hub"], shape["blades"], shape["bar"], shape["hand"]
    basis = np.column_stack([hub["aft"], hub["right"], hub["axis"]])

    def about(axis: str, turn: float) -> np.ndarray:
        return Rotation.from_euler(axis, turn).as_matrix()

    for k in (0, 11, 23):
        told = landmarks(flight, name, k)
        body = Rotation.from_quat(columns["attitude"][k], scalar_first=True)
        shaft = basis @ about("z", hand * columns["azimuth"][k])

        def earth(place, k=k, body=body):
            return columns["position"][k] + body.apply(np.array(hub["place"]) + place)

        arm = shaft @ about("z", hand * bar["lead"])
        tip = about("y", -columns["bar_angle"][k]) @ [bar["arm"], 0.0, 0.0]
        assert earth(arm @ ([0.0, 0.0, bar["height"]] + tip)) == pytest.approx(told["bar"][0], abs=1e-9)
        for i, want in enumerate(told["blades"]):
            out = shaft @ about("z", hand * 2.0 * np.pi * i / blades["count"])
            tip = about("y", -(blades["precone"] + columns["flap"][k, i])) @ [
                blades["radius"] - blades["offset"],
                0.0,
                0.0,
            ]
            assert earth(out @ ([blades["offset"], 0.0, 0.0] + tip)) == pytest.approx(want, abs=1e-9)


def test_planes_are_those_that_the_tips_sweep(recorded, landmarks):
    """Normal of the bar's plane from two places of its tip a hundredth of a turn apart, relative to the hub."""
    flight = recorded()
    columns = columns_of(flight, scenario_of({}).craft)
    for k in (5, 20, 30):
        gap = 1e-4
        tips = []
        for t in (flight.time[k] - gap, flight.time[k] + gap):
            moved = {
                name: hermite(np.array([t]), flight.time, getattr(flight, name), rates)
                for name, rates in {
                    "position": columns["velocity"], "attitude": columns["attitude_rate"], "rotor_azimuth": flight.rotor_speed,
                    "bar_angle": flight.bar_rate, "flap": flight.flap_rate,
                }.items()
            }  # fmt: skip
            there = landmarks(dataclasses.replace(flight, **moved), "teetering", 0)
            tips.append({"bar": there["bar"][0] - there["bar"][1], "disc": there["blades"][0] - there["blades"][1]})
        for name in ("bar", "disc"):
            across = np.cross(tips[0][name], tips[1][name])
            across *= -np.sign(across[2]) / np.linalg.norm(across)
            assert columns[f"{name}_normal"][k] == pytest.approx(across, abs=2e-4)


def test_while_the_rotor_stands_the_hub_s_plane_is_drawn(recorded):
    flight = recorded()
    speed = flight.rotor_speed.copy()
    speed[:5] = 0.0
    columns = columns_of(dataclasses.replace(flight, rotor_speed=speed), scenario_of({}).craft)
    for name in ("disc_normal", "bar_normal"):
        assert np.array_equal(columns[name][:5], columns["shaft"][:5])
        assert not np.allclose(columns[name][5:], columns["shaft"][5:], atol=1e-3)


def test_nothing_moves_so_the_shaft_stands_for_the_normal():
    up = np.array([[0.0, 0.0, -1.0]])
    assert swept_normal([np.array([[1.0, 0.0, 0.0]])], [np.zeros((1, 3))], up) == pytest.approx(up)


def test_columns_come_back_as_they_were_sent():
    columns = {"time": np.linspace(0.0, 1.0, 7), "tilt": np.arange(7.0), "flap": np.arange(21.0).reshape(7, 3), "azimuth": np.arange(7.0) * 1e6}  # fmt: skip
    index, block = packed(columns)
    for entry in index:
        assert entry["offset"] % 8 == 0
        kind = np.dtype(entry["kind"]).newbyteorder("<")
        found = np.frombuffer(block, kind, 7 * entry["width"], entry["offset"])
        assert np.array_equal(found, columns[entry["name"]].ravel().astype(entry["kind"]))
    assert {entry["name"] for entry in index if entry["kind"] == "float64"} == {"time", "azimuth"}


def test_pitch_on_top_of_what_is_built_in_is_the_recorded_feathering(recorded):
    flight = recorded()
    pitch = columns_of(flight, scenario_of({}).craft)["pitch"]
    assert flight.feathering - pitch == pytest.approx(np.full_like(pitch, np.radians(9.0)), abs=1e-12)


def test_what_was_lost_is_told_with_its_arm_and_time():
    more = '[[mishap]]\nwhat = "tip mass lost"\nat_s = 0.3\narm = 2\n[[mishap]]\nwhat = "tip mass lost"\nat_s = 0.5\n'
    flight = fly_scenario(scenario_of({}, more=more))
    lost = page_data(flight, "x")["losses"]
    assert [(each["arm"], each["what"]) for each in lost] == [(2, "tip mass lost"), (1, "tip mass lost")]
    assert [each["time"] for each in lost] == pytest.approx([0.3, 0.5], abs=1e-6)


def test_a_section_table_of_another_machine_is_not_needed():
    text = scenario_of({}).effective_toml().replace('"shallow cambered plate"', '"/elsewhere/own.csv"')
    craft = described(as_recorded(made_up_flight(duration=0.1), effective_toml=text), "x").craft
    assert craft.rotor.section == "/elsewhere/own.csv"  # so that it does not fly again with another one
    assert craft_shape(craft)["blades"]["camber"] == 0.0


@pytest.mark.parametrize("text", ["", "craft = 3", "= nonsense", 'title = "x"\n[craft]\nname = "y"'])
def test_a_description_that_cannot_be_drawn_is_refused(text):
    with pytest.raises(NotARunFile, match=r"^run\.h5: cannot be drawn: ") as refused:
        described(as_recorded(made_up_flight(duration=0.1), effective_toml=text), "run.h5")
    assert "\n" not in str(refused.value)


def test_every_kind_of_part_has_a_shape():
    more = [
        {"name": "hoop", "kind": "ring", "at_mm": [0, 0, -180], "diameter_mm": 40, "wire_diameter_mm": 0.5, "normal": [0, 0, 1], "mass_g": 0.1},
        {"name": "sleeve", "kind": "tube", "from_mm": [0, 0, -30], "to_mm": [0, 0, -60], "diameter_mm": 5, "mass_g": 0.1},
    ]  # fmt: skip
    raw = tomlkit.parse(scenario_of({}).effective_toml()).unwrap()
    raw["craft"]["part"] += more
    del raw["craft"]["all_up_g"]
    shape = craft_shape(parse_scenario(tomlkit.dumps(raw)).craft)
    assert {part["kind"] for part in shape["parts"]} == {"ball", "rod", "plate", "ring"}


def test_flown_and_recorded_flights_are_drawn_alike():
    flight = fly_scenario(scenario_of({"run.duration_s": 0.2}))
    assert image_of([flight])  # it can be written
    data = page_data(flight, "x")
    assert data["samples"] == flight.time.size
    assert data["craft"]["mass"] == pytest.approx(10.4e-3, rel=0.01)
