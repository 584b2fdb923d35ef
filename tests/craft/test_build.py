"""From description to numbers: every kind builds and moves, mirror images, wrong blades, files found from anywhere.

Broken : clockwise taken as counter-clockwise; section path taken from the working folder: each refused here.
"""

from __future__ import annotations

import subprocess
import zipfile
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from paddlebar.craft.build import Numbers, all_up_mass, build
from paddlebar.craft.parameters import FIELDS, MAX_STATIONS, blank
from paddlebar.craft.sections import DATA, SECTIONS
from paddlebar.errors import BadInput
from paddlebar.files import load_scenario, parse_scenario
from paddlebar.files.craft import weights_g
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.scenario import Launch, Scenario, Winding
from paddlebar.flight import layout
from paddlebar.flight.rhs import rhs, work_array
from paddlebar.physics.motor import FORMULA, NONE
from paddlebar.whirl_stand import stand
from reference.rig import craft

ROOT = Path(__file__).parents[2]
SCENARIO = 'craft = "hall-ten.toml"\n[skein]\nturns = 300\n[launch]\nheight_m = 5\n'
TAIL_SKEIN = {
    "craft.tail.drive": "skein",
    "craft.tail.skein": {"mass_g": 0.2, "length_mm": 100, "hooks_mm": [[-150, 0, -100], [-240, 0, -100]]},
}


def numbers(**keys: Any) -> Numbers:
    return build(parse_scenario(SCENARIO, folder=ROOT / "models", overrides=keys))


def moving(n: Numbers) -> np.ndarray:
    nf = int(n.params[0]["flaps"])
    y = np.zeros(layout.state_size(nf))
    y[layout.POSITION + 2] = -5.0
    y[layout.ATTITUDE] = 1.0
    y[layout.VELOCITY_BODY : layout.VELOCITY_BODY + 3] = 0.3, -0.2, 0.1
    y[layout.RATE_BODY : layout.RATE_BODY + 3] = 0.4, -0.3, 0.2
    y[layout.ROTOR_AZIMUTH], y[layout.ROTOR_SPEED] = 0.7, 45.0
    y[layout.BAR_ANGLE], y[layout.BAR_RATE] = 0.05, 1.0
    y[layout.TAIL_SPEED] = n.params[0]["cord_ratio"] * 45.0
    y[layout.INFLOW : layout.INFLOW + 3] = 0.6, 0.05, -0.03
    y[layout.FLAP : layout.FLAP + nf] = 0.02
    return y


def rates(n: Numbers, y: np.ndarray) -> np.ndarray:
    return np.array(rhs(0.0, y, n.params, n.tables, n.gusts, work_array()))


@pytest.mark.parametrize(
    ("kind", "blades"), [(kind, n) for kind, head in HEADS.items() for n in (head.blades[0], head.blades[-1])]
)
def test_every_head_builds_and_moves(kind: str, blades: int) -> None:
    n = numbers(**{"craft.head.kind": kind, "craft.rotor.blades": blades})
    p = n.params[0]
    assert p["blades"] == blades
    assert p["flaps"] == HEADS[kind].flaps(blades)
    found = rates(n, moving(n))
    assert np.isfinite(found).all()
    for row in range(int(p["flaps"])):
        assert found[layout.FLAP + p["flaps"] + row] != 0.0


@pytest.mark.parametrize("kind", BARS)
def test_every_bar_builds_and_moves(kind: str) -> None:
    n = numbers(**{"craft.bar.kind": kind})
    p = n.params[0]
    assert (p["bar_mass"] > 0.0) == BARS[kind].present
    assert bool(p["locked"][7]) != BARS[kind].tilts
    assert (rates(n, moving(n))[layout.BAR_RATE] != 0.0) == BARS[kind].tilts
    if not BARS[kind].present:
        assert not p["feather_share"].any()


@pytest.mark.parametrize("drive", ["none", "cord", "skein"])
def test_every_tail_drive_builds_and_moves(drive: str) -> None:
    n = numbers(
        **(TAIL_SKEIN if drive == "skein" else {"craft.tail.drive": drive}),
        **({"skein.tail_turns": 50} if drive == "skein" else {}),
    )
    p = n.params[0]
    assert (p["tail_mass"] > 0.0) == (drive != "none")
    assert (p["cord_mode"], p["tail_skein"]["kind"]) == {"none": (0, NONE), "cord": (1, NONE), "skein": (0, FORMULA)}[
        drive
    ]
    y = moving(n)
    found = rates(n, y)
    assert np.isfinite(found).all()
    assert (found[layout.TAIL_SPEED] != 0.0) == (drive != "none")
    if drive == "cord":
        assert found[layout.TAIL_SPEED] == pytest.approx(p["cord_ratio"] * found[layout.ROTOR_SPEED], rel=1e-12)
        assert p["cord_ratio"] == pytest.approx(parse_ratio(), rel=1e-12)


def parse_ratio() -> float:
    tail = parse_scenario(SCENARIO, folder=ROOT / "models").craft.tail
    assert tail is not None
    return tail.drive_pulley_mm / tail.tail_pulley_mm


@pytest.mark.parametrize(("kind", "blades"), [("teetering", 3), ("teetering", 6)])
def test_wrong_number_of_blades_is_one_clear_line(kind: str, blades: int) -> None:
    with pytest.raises(BadInput) as caught:
        numbers(**{"craft.head.kind": kind, "craft.rotor.blades": blades})
    line = str(caught.value)
    assert "\n" not in line
    assert "blades" in line
    assert str(blades) in line


def test_too_many_parts_are_one_clear_line() -> None:
    wire = {"kind": "rod", "from_mm": [9, 0, -30], "to_mm": [9, 0, -40], "diameter_mm": 0.5, "mass_g": 0.1}
    whole = craft(part=[{"name": f"wire {k}", **wire} for k in range(MAX_STATIONS // 2 + 1)])
    with pytest.raises(BadInput) as caught:
        build(Scenario(craft=whole, skein=Winding(turns=0.0), launch=Launch(height_m=5.0)))
    assert f"at most {MAX_STATIONS // 2} parts" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_mass_is_that_of_the_scale() -> None:
    scenario = parse_scenario(SCENARIO, folder=ROOT / "models")
    assert all_up_mass(build(scenario).params) == pytest.approx(
        1e-3 * sum(weights_g(scenario.craft).values()), rel=1e-12
    )


MIRRORED_ROWS = [  # state rows that change sign when left and right change places
    layout.POSITION + 1, layout.ATTITUDE + 1, layout.ATTITUDE + 3, layout.VELOCITY_BODY + 1, layout.RATE_BODY, layout.RATE_BODY + 2,
    layout.INFLOW + 2,
]  # fmt: skip


def mirror(n: Numbers) -> Numbers:
    """The numbers of the craft seen in a mirror: right for left in every place, the other hand."""
    other = n.copy()
    p = other.params[0]
    for name in ("body_moment", "hub_place", "shaft_axis", "aft", "tail_place", "tail_axis", "tail_one"):
        p[name][1] *= -1.0
    p["right"] = -p["right"] * [1.0, -1.0, 1.0]
    p["tail_two"] = -p["tail_two"] * [1.0, -1.0, 1.0]
    p["body_inertia"] *= np.outer([1.0, -1.0, 1.0], [1.0, -1.0, 1.0])
    p["hand"] *= -1.0
    p["tail_hand"] *= -1.0
    p["st_place"][:, 1] *= -1.0
    p["st_axis"][:, 1] *= -1.0
    p["contact_place"][:, 1] *= -1.0
    return other


def mirrored_craft() -> dict[str, Any]:
    """Overrides that turn hall-ten into its mirror image (its parts lie in the plane of symmetry, but for the legs' places)."""
    whole = parse_scenario(SCENARIO, folder=ROOT / "models").craft
    assert whole.tail is not None
    found: dict[str, Any] = {
        "craft.shaft.turns": "clockwise", "craft.shaft.tilt_right_deg": -whole.shaft.tilt_right_deg,
        "craft.tail.thrust_to": {"left": "right", "right": "left"}[whole.tail.thrust_to],
        "craft.tail.at_mm": [whole.tail.at_mm[0], -whole.tail.at_mm[1], whole.tail.at_mm[2]],
    }  # fmt: skip
    for part in whole.part:
        for key in ("at_mm", "from_mm", "to_mm"):
            if hasattr(part, key):
                x, y, z = getattr(part, key)
                found[f"craft.part.{part.name}.{key}"] = [x, -y, z]
    return found


def flat(entry: Any) -> np.ndarray:
    """All numbers of an entry of the parameters, of a motor's record one after the other."""
    if entry.dtype.names is None:
        return np.array(entry, dtype=float)
    return np.concatenate([np.ravel(entry[name]).astype(float) for name in entry.dtype.names])


def test_clockwise_craft_is_the_mirror_image() -> None:
    """Every number of the clockwise craft is that of the mirror; so are its rates, row by row. 1e-10."""
    first, other = numbers(), numbers(**mirrored_craft())
    want = mirror(first)
    for name, _, _, _, _ in FIELDS:
        sides = (1.0, -1.0) if name == "st_axis" else (1.0,)  # normal of a plate and axis of a rod have no sense
        a, b = flat(other.params[0][name]), flat(want.params[0][name])
        if name == "contact_place":  # corners of a plate come in another order
            a, b = (np.array(sorted(np.round(each, 12) + 0.0, key=tuple)) for each in (a, b))
        assert np.isclose(np.array(sides)[:, None] * a.ravel(), b.ravel(), rtol=1e-12, atol=1e-15).any(axis=0).all(), (
            name
        )
    y = moving(first)
    seen = y.copy()
    seen[MIRRORED_ROWS] *= -1.0
    found = rates(other, seen)
    found[MIRRORED_ROWS] *= -1.0
    assert found == pytest.approx(rates(first, y), rel=1e-10, abs=1e-10)


@pytest.mark.parametrize(
    ("wind_from", "north", "east"), [(0.0, -3.0, 0.0), (90.0, 0.0, -3.0), (180.0, 3.0, 0.0), (270.0, 0.0, 3.0)]
)
def test_wind_comes_from_where_it_is_said_to(wind_from: float, north: float, east: float) -> None:
    p = numbers(**{"air.wind_m_s": 3.0, "air.wind_from_deg": wind_from, "air.gust_m_s": 1.0}).params[0]
    assert (p["wind_north"], p["wind_east"]) == pytest.approx((north, east), abs=1e-14)
    assert (p["gust_north"], p["gust_east"]) == pytest.approx((north / 3.0, east / 3.0), abs=1e-14)


def test_air_given_by_density_keeps_its_viscosity() -> None:
    thin = numbers(**{"air.density_kg_m3": 0.6}).params[0]
    plain = numbers().params[0]
    assert thin["rho"] == 0.6
    assert thin["rho"] * thin["nu"] == pytest.approx(plain["rho"] * plain["nu"], rel=1e-12)


def test_section_of_the_user_is_found_beside_the_craft_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Path relative to the craft file, scenario in another folder, working folder a third."""
    (tmp_path / "models").mkdir()
    (tmp_path / "flights").mkdir()
    (tmp_path / "elsewhere").mkdir()
    text = (ROOT / "models" / "hall-ten.toml").read_text(encoding="utf-8")
    assert 'section = "shallow cambered plate"' in text
    own = text.replace('section = "shallow cambered plate"', 'section = "own.csv"')
    (tmp_path / "models" / "own-craft.toml").write_text(own, encoding="utf-8")
    polar = "alpha_deg,cl,cd\n-20,-0.9,0.3\n0,0.123,0.03\n20,0.9,0.3\n"
    (tmp_path / "models" / "own.csv").write_text(polar, encoding="utf-8")
    (tmp_path / "flights" / "one.toml").write_text(
        SCENARIO.replace("hall-ten", "../models/own-craft"), encoding="utf-8"
    )
    monkeypatch.chdir(tmp_path / "elsewhere")
    tables = build(load_scenario(tmp_path / "flights" / "one.toml")).tables
    assert tables[0, 5, 181, 0] == pytest.approx(0.123, rel=1e-12)


def test_section_data_go_with_the_package() -> None:
    """Each file lies inside the package and is kept by git (an ignored file would miss in a wheel)."""
    package = ROOT / "sim" / "paddlebar"
    for row in SECTIONS.values():
        assert (DATA / row.file).resolve().is_relative_to(package)
    listed = subprocess.run(["git", "ls-files", "sim"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode != 0 or not listed.stdout:
        pytest.skip("not a git checkout")
    assert {row.file for row in SECTIONS.values()} <= {
        Path(line).name for line in listed.stdout.splitlines() if "section_data" in line
    }


@pytest.mark.slow
def test_section_data_are_in_the_wheel(tmp_path: Path) -> None:
    hatchling = pytest.importorskip("hatchling.builders.wheel")
    made = next(iter(hatchling.WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])))
    names = zipfile.ZipFile(made).namelist()
    for row in SECTIONS.values():
        assert f"paddlebar/craft/section_data/{row.file}" in names


def test_every_number_has_a_unit_and_a_meaning() -> None:
    names = [name for name, *_ in FIELDS]
    assert len(names) == len(set(names))
    assert all(unit and meaning for _, _, _, unit, meaning in FIELDS)
    assert set(blank().dtype.names or ()) == set(names)


def test_drag_factors_reach_their_drag_and_nothing_else() -> None:
    """1.25 times the section's drag at all angles, lift and moment kept; 1.4 times every station of the airframe; the cached table is not touched."""
    plain, rough = numbers(), numbers(**{"craft.rotor.drag_factor": 1.25, "craft.airframe_drag_factor": 1.4})
    assert np.allclose(rough.tables[0, :, :, 1], 1.25 * plain.tables[0, :, :, 1], rtol=1e-14)
    assert np.array_equal(rough.tables[0, :, :, [0, 2]], plain.tables[0, :, :, [0, 2]])
    assert np.array_equal(rough.tables[1:], plain.tables[1:])
    assert np.allclose(rough.params[0]["st_half_drag"], 1.4 * plain.params[0]["st_half_drag"], rtol=1e-14)
    assert np.array_equal(numbers().tables, plain.tables)


def test_a_draggy_section_costs_torque_and_hardly_any_thrust() -> None:
    """On the stand at 400 rpm: a quarter more section drag, 10 to 25 % more torque, thrust within 1 %."""
    made = load_scenario(ROOT / "scenarios" / "first-flight.toml").craft
    rough = load_scenario(ROOT / "scenarios" / "first-flight.toml", {"craft.rotor.drag_factor": 1.25}).craft
    a, b = stand(made, 400.0), stand(rough, 400.0)
    assert 1.10 < b.torque_nm / a.torque_nm < 1.25
    assert b.thrust_n == pytest.approx(a.thrust_n, rel=0.01)
