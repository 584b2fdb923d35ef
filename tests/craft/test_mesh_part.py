"""Parts from an STL: mass, centre and inertia against closed forms and against the tube, mirror image, what is mended, what is refused.

Broken : y of the STL to the right; inertia not turned with the part; the unit not cubed in the volume: each refused here.
"""

from __future__ import annotations

import hashlib
import math
import time
import tomllib
from pathlib import Path

import numpy as np
import pytest
import trimesh
from jsonschema import Draft202012Validator

from paddlebar import check, fly, load_craft, load_scenario, read_run
from paddlebar.checks.findings import Finding
from paddlebar.craft.mesh_part import axes
from paddlebar.craft.parts import MassProperties, add_mass, stations
from paddlebar.craft.standing import contact_points, outline
from paddlebar.errors import BadInput
from paddlebar.files.load import parse_craft
from paddlebar.files.meshes import read_solid
from paddlebar.files.parts import MeshPart, Part, TubePart
from paddlebar.files.schema import craft_schema
from paddlebar.record.again import scenario_of
from paddlebar.record.write import write_run
from paddlebar.replay_page.shape import craft_shape
from paddlebar.studies.session import identity

ROOT = Path(__file__).parents[2]
BOX = (10.0, 20.0, 30.0)


def stl(folder, mesh, name="part.stl"):
    mesh.export(folder / name)
    return folder / name


def part(path, **more):
    values = {"name": "lug", "kind": "mesh", "mass_g": 3.0, "at_mm": (0.0, 0.0, 0.0), **more}
    return MeshPart(stl=tuple(read_solid(path, str(path))), **values)


def of(one) -> MassProperties:
    total = MassProperties()
    add_mass(one, total)
    return total


def at_centre(found: MassProperties):
    c = found.moment / found.mass
    return found.inertia - found.mass * (c @ c * np.eye(3) - np.outer(c, c))


def craft_file(folder, path="part.stl", mass="mass_g = 0.4", more=""):
    text = (ROOT / "models" / "hall-ten.toml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("all_up_g")]
    at = lines.index("[[part]]")
    lug = f'[[part]]\nname = "lug"\nkind = "mesh"\nstl = "{path}"\n{mass}\nat_mm = [20, 0, -60]\n{more}\n'
    (folder / "craft.toml").write_text("\n".join([*lines[:at], lug, *lines[at:]]), encoding="utf-8")
    return folder / "craft.toml"


def test_a_box_is_a_box(tmp_path):
    """m (b^2 + c^2) / 12 about each axis; the centre where the STL has it."""
    mesh = trimesh.creation.box(BOX)
    mesh.apply_translation((1.0, 2.0, 3.0))
    found = of(part(stl(tmp_path, mesh), at_mm=(100.0, 0.0, 0.0)))
    assert found.moment / found.mass == pytest.approx(
        [0.101, -0.002, -0.003], abs=1e-9
    )  # y of a CAD program is to the left
    a, b, c = (1e-3 * side for side in BOX)
    handbook = 0.003 / 12.0 * np.diag([b * b + c * c, a * a + c * c, a * a + b * b])
    assert at_centre(found) == pytest.approx(handbook, rel=1e-6, abs=1e-15)


def test_a_hollow_tube_weighs_and_turns_as_the_tube_part_does(tmp_path):
    """256 sides for a circle: radii of gyration differ by (pi/256)^2 = 1.5e-4, areas by twice that; 5e-4 is allowed."""
    mesh = trimesh.creation.annulus(r_min=3.0, r_max=4.0, height=120.0, sections=256)
    lying = part(stl(tmp_path, mesh), normal=(1.0, 0.0, 0.0), along=(0.0, 0.0, 1.0))
    tube = TubePart(
        name="t",
        kind="tube",
        mass_g=3.0,
        from_mm=(-60.0, 0.0, 0.0),
        to_mm=(60.0, 0.0, 0.0),
        diameter_mm=8.0,
        wall_mm=1.0,
    )
    assert of(lying).moment == pytest.approx(of(tube).moment, abs=1e-12)
    assert of(lying).inertia == pytest.approx(of(tube).inertia, rel=5e-4, abs=1e-13)
    assert lying.stl.volume == pytest.approx(math.pi * (16.0 - 9.0) * 120.0, rel=5e-4)


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1.0), ("cm", 10.0), ("in", 25.4)])
def test_density_and_fill_weigh_what_was_not_weighed(tmp_path, unit, mm):
    path = stl(tmp_path, trimesh.creation.box([1.0, 2.0, 3.0]))
    solid = tuple(read_solid(path, "x"))
    found = MeshPart(
        name="l", kind="mesh", stl=solid, unit=unit, density_kg_m3=1200.0, fill_percent=25.0, at_mm=(0.0, 0.0, 0.0)
    )
    assert found.mass_g == pytest.approx(1.2e-3 * 0.25 * 6.0 * mm**3, rel=1e-6)


def test_turned_craft_turned_inertia(tmp_path):
    """A part turned by any angle has its tensor turned with it: R J R^T."""
    mesh = trimesh.creation.box(BOX)
    mesh.apply_translation((1.0, 2.0, 3.0))
    path = stl(tmp_path, mesh)
    plain, turned = (
        of(part(path)),
        of(part(path, along=(0.0, -1.0, 0.0))),
    )  # x to the left: a quarter turn about the upright
    quarter = np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    assert turned.inertia == pytest.approx(quarter @ plain.inertia @ quarter.T, abs=1e-15)
    assert turned.moment == pytest.approx(quarter @ plain.moment, abs=1e-12)


def test_a_mirrored_part_is_the_mirror_image(tmp_path):
    """Of a lopsided body: mass, centre, inertia, drag and what touches, left for right."""
    mesh = trimesh.creation.box(BOX)
    mesh.vertices[0] += (-4.0, -9.0, -2.0)
    mesh.apply_translation((5.0, 12.0, 0.0))
    path = stl(tmp_path, mesh)
    one, other = part(path, at_mm=(10.0, 5.0, 0.0)), part(path, at_mm=(10.0, -5.0, 0.0), mirrored=True)
    flip = np.diag([1.0, -1.0, 1.0])
    assert of(other).moment == pytest.approx(flip @ of(one).moment, abs=1e-12)
    assert of(other).inertia == pytest.approx(flip @ of(one).inertia @ flip, abs=1e-15)
    assert abs(of(one).inertia[0, 1]) > 1e-9  # lopsided indeed
    assert np.array(contact_points(other)) == pytest.approx(np.array(contact_points(one)) @ flip)
    assert sum(s.drag_area for s in stations(one)) == pytest.approx(sum(s.drag_area for s in stations(other)))


def test_a_box_shows_the_wind_its_faces(tmp_path):
    found = stations(part(stl(tmp_path, trimesh.creation.box(BOX)), drag_coefficient=1.0))
    assert [s.drag_area for s in found] == pytest.approx([600e-6, 300e-6, 200e-6])


def test_small_holes_and_turned_faces_are_mended_and_told(tmp_path):
    whole = trimesh.creation.box(BOX)
    holed = whole.copy()
    holed.update_faces(np.arange(12) != 3)
    turned = whole.copy()
    turned.faces = np.array([face[::-1] if n == 5 else face for n, face in enumerate(whole.faces)])
    inside_out = whole.copy()
    inside_out.faces = whole.faces[:, ::-1]
    for mesh, says in ((holed, "1 faces put into holes"), (turned, "1 faces turned"), (inside_out, "all faces turned")):
        found = read_solid(stl(tmp_path, mesh), "x")
        assert found.volume == pytest.approx(6000.0, rel=1e-6)
        assert says in found.mended
    stl(tmp_path, holed)
    said = check(load_craft(craft_file(tmp_path))).findings
    assert any(isinstance(f, Finding) and f.key == "part.lug.stl" and "mended" in f.sentence for f in said)


def test_a_cavity_stays_a_cavity(tmp_path):
    hollow = trimesh.creation.box(BOX)
    room = trimesh.creation.box((5.0, 10.0, 15.0))
    room.invert()
    found = read_solid(stl(tmp_path, trimesh.util.concatenate([hollow, room])), "x")
    assert found.volume == pytest.approx(6000.0 - 750.0, rel=1e-6)
    assert found.mended == ""


def test_what_is_no_body_costs_one_line(tmp_path):
    box = trimesh.creation.box(BOX)
    torn = trimesh.creation.icosphere(subdivisions=2)
    torn.update_faces(torn.triangles_center[:, 2] < 0.5)  # a bowl
    sheet = trimesh.Trimesh([[0, 0, 0], [9, 0, 0], [9, 9, 0], [0, 9, 0]], [[0, 1, 2], [0, 2, 3], [2, 1, 0], [3, 2, 0]])
    nowhere = box.copy()
    nowhere.vertices[0] = np.nan
    content = {
        "bowl.stl": torn, "sheet.stl": sheet, "nan.stl": nowhere, "empty.stl": b"", "text.stl": b"hello\n" * 40,
        "none.stl": b"solid x\nendsolid x\n", "cut.stl": trimesh.exchange.stl.export_stl(box)[:400], "zero.stl": bytes(84),
    }  # fmt: skip
    words = {
        "bowl.stl": "holes",
        "sheet.stl": "no volume|no triangles|triangles",
        "nan.stl": "no place|holes|triangles",
    }
    for name, mesh in content.items():
        if isinstance(mesh, bytes):
            (tmp_path / name).write_bytes(mesh)
        else:
            stl(tmp_path, mesh, name)
        with pytest.raises(BadInput, match=words.get(name, "STL|triangles")) as error:
            load_craft(craft_file(tmp_path, name))
        assert "part.lug.stl" in str(error.value)
        assert "\n" not in str(error.value)
    (tmp_path / "big.stl").write_bytes(bytes(21_000_000))
    for name, says in (("big.stl", "has 21 MB"), ("absent.stl", "no such file")):
        with pytest.raises(BadInput, match=says):
            load_craft(craft_file(tmp_path, name))


@pytest.mark.parametrize(
    ("mass", "more", "says"),
    [
        ("", "", "mass_g: is missing"),
        ("mass_g = 1", "density_kg_m3 = 1000", "density_kg_m3: leave it out"),
        ("mass_g = 1", 'unit = "m"', "unit: the STL should be .* another unit"),
        ("mass_g = 1", "normal = [1, 0, 0]", "normal: should stand at right angles"),
        ("density_kg_m3 = 1000", "fill_percent = 0", "fill_percent"),
    ],
)
def test_keys_that_do_not_go_together(tmp_path, mass, more, says):
    stl(tmp_path, trimesh.creation.box(BOX))
    with pytest.raises(BadInput, match=says):
        load_craft(craft_file(tmp_path, mass=mass, more=more))


def test_a_setting_may_name_another_stl_or_another_fill(tmp_path, monkeypatch):
    stl(tmp_path, trimesh.creation.box([5.0, 5.0, 5.0]))
    stl(tmp_path, trimesh.creation.box([6.0, 5.0, 5.0]), "longer.stl")
    file = craft_file(tmp_path, mass="density_kg_m3 = 1000")
    monkeypatch.chdir(tmp_path)

    def grams(**settings):
        (lug,) = (
            p for p in load_craft(file, {f"part.lug.{k}": v for k, v in settings.items()}).part if p.name == "lug"
        )
        return lug.mass_g

    assert grams() == pytest.approx(0.125)
    assert grams(stl="longer.stl") == pytest.approx(0.15)
    assert grams(fill_percent=40) == pytest.approx(0.05)


def test_a_run_file_flies_again_without_the_stl_and_a_study_knows_its_own(tmp_path):
    path = stl(tmp_path, trimesh.creation.box([5.0, 5.0, 5.0]))
    craft_file(tmp_path)
    (tmp_path / "hop.toml").write_text(
        'craft = "craft.toml"\n[skein]\nturns = 0\n[launch]\nheight_m = 0.4\n[run]\nduration_s = 0.1\nrtol = 1e-4\nblade_elements = 3\n',
        encoding="utf-8",
    )
    scenario = load_scenario(tmp_path / "hop.toml")
    flight = fly(scenario)
    write_run(tmp_path / "run.h5", [flight])
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    path.unlink()
    again = scenario_of(tmp_path / "run.h5")
    assert again.craft == scenario.craft
    assert np.array_equal(fly(again).position, flight.position)
    text = scenario.effective_toml()
    assert digest in identity(text)["scenario"]
    assert read_run(tmp_path / "run.h5")[0].effective_toml == text
    assert parse_craft(scenario.craft.effective_toml()) == scenario.craft


def test_a_fine_mesh_is_drawn_with_few_lines_and_loads_soon(tmp_path):
    path = stl(tmp_path, trimesh.creation.icosphere(subdivisions=6, radius=10.0))  # 82 000 triangles
    start = time.process_time()  # the machine may have other work
    found = part(path, at_mm=(20.0, 0.0, -80.0))
    assert time.process_time() - start < 20.0
    assert found.stl.volume == pytest.approx(4000.0 / 3.0 * math.pi, rel=1e-3)
    assert 20 < len(found.stl.lines) <= 200
    out = np.linalg.norm(outline(found).points - np.array([0.020, 0.0, 0.080]), axis=1)
    assert out.max() < 0.0101  # coarser, never outside
    assert len(contact_points(found)) <= 14


def test_it_is_seen_in_the_replay(tmp_path):
    stl(tmp_path, trimesh.creation.box([5.0, 5.0, 5.0]))
    shape = craft_shape(load_craft(craft_file(tmp_path)))
    edges = [each for each in shape["parts"] if each["name"] == "lug"]
    assert len(edges) == 12
    assert {each["kind"] for each in edges} == {"rod"}
    assert [math.dist(each["from"], each["to"]) for each in edges] == pytest.approx([0.005] * 12)


def test_measures_that_somebody_changed_in_a_record_cost_one_line(tmp_path):
    stl(tmp_path, trimesh.creation.box(BOX))
    craft = load_craft(craft_file(tmp_path))
    text = craft.effective_toml()
    for spoilt in (
        text.replace("6000.0", "0.0", 1),
        text.replace("6000.0", "nan", 1),
        text.replace("650000.0", "-1.0", 1),
    ):
        assert spoilt != text
        with pytest.raises(BadInput, match=r"part\.lug\.stl"):
            parse_craft(spoilt)


def test_an_editor_asks_for_a_weight_or_lets_it_go(tmp_path):
    stl(tmp_path, trimesh.creation.box(BOX))
    raw = tomllib.loads(craft_file(tmp_path, mass="density_kg_m3 = 100").read_text(encoding="utf-8"))
    assert list(Draft202012Validator(craft_schema()).iter_errors(raw)) == []
    assert len(load_craft(tmp_path / "craft.toml").part) == len(raw["part"])


def test_the_union_knows_the_kind():
    assert "MeshPart" in str(Part)


@pytest.mark.parametrize(("mirrored", "hand"), [(False, 1.0), (True, -1.0)])
def test_its_axes_stand_square_and_only_a_mirrored_one_is_left_handed(tmp_path, mirrored, hand):
    turned = axes(
        part(
            stl(tmp_path, trimesh.creation.box((10.0, 20.0, 30.0))),
            along=(1.0, 2.0, 0.0),
            normal=(0.0, 0.0, 1.0),
            mirrored=mirrored,
        )
    )
    assert turned.T @ turned == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(turned) == pytest.approx(hand)
