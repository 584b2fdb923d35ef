"""Parts as masses, as drag and as points that touch: handbook formulas, parallel axes, and the whole list turned.

Broken : m L^2/6 for a rod; half the moment of a ring; up for down in a place: each refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from paddlebar.craft.parts import MassProperties, add_mass, fuselage, rod_inertia, stations
from paddlebar.craft.places import body_direction, body_place
from paddlebar.craft.rubber import section_of
from paddlebar.craft.standing import contact_points
from paddlebar.errors import BadInput
from paddlebar.files.parts import PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.physics.airframe import LUMP, PLATE, ROD
from reference.rig import craft

Array = NDArray[np.float64]

POINT = PointPart(name="a", kind="point", mass_g=2.0, at_mm=(30.0, -20.0, 10.0), drag_area_mm2=50.0)
ROD_PART = RodPart(name="b", kind="rod", mass_g=3.0, from_mm=(0.0, 0.0, 0.0), to_mm=(120.0, 0.0, 0.0), diameter_mm=8.0)
TUBE = TubePart(
    name="c", kind="tube", mass_g=3.0, from_mm=(-60.0, 0.0, 0.0), to_mm=(60.0, 0.0, 0.0), diameter_mm=8.0, wall_mm=1.0
)
PLATE_PART = PlatePart(
    name="d", kind="plate", mass_g=4.0, at_mm=(0.0, 0.0, 0.0), length_mm=60.0, width_mm=40.0, along=(2.0, 0.0, 0.0), normal=(0.0, 0.0, 3.0),
    thickness_mm=5.0,
)  # fmt: skip
RING = RingPart(
    name="e",
    kind="ring",
    mass_g=5.0,
    at_mm=(0.0, 0.0, 0.0),
    diameter_mm=50.0,
    wire_diameter_mm=1.0,
    normal=(0.0, 0.0, 1.0),
)
ALL: list[Any] = [POINT, ROD_PART, TUBE, PLATE_PART, RING]


def of(*parts: Any) -> MassProperties:
    total = MassProperties()
    for part in parts:
        add_mass(part, total)
    return total


def test_places_are_forward_right_up_and_bodies_forward_right_down() -> None:
    assert body_place((30.0, -20.0, 10.0)) == pytest.approx([0.030, -0.020, -0.010])
    assert body_direction((0.0, 0.0, 7.0)) == pytest.approx([0.0, 0.0, -1.0])


def test_point() -> None:
    """m r^2 about each axis of the datum, products -m x y."""
    found = of(POINT)
    x, y, z = 0.030, -0.020, -0.010
    want = 2e-3 * np.array(
        [[y * y + z * z, -x * y, -x * z], [-x * y, x * x + z * z, -y * z], [-x * z, -y * z, x * x + y * y]]
    )
    assert found.mass == 2e-3
    assert found.moment == pytest.approx(2e-3 * np.array([x, y, z]), rel=1e-14)
    assert found.inertia == pytest.approx(want, rel=1e-13)


def test_rod_about_its_end() -> None:
    """m L^2/3 + m r^2/4 across, m r^2/2 along (handbook)."""
    found = of(ROD_PART)
    across = 3e-3 * (0.12**2 / 3.0 + 0.004**2 / 4.0)
    assert found.inertia == pytest.approx(np.diag([3e-3 * 0.004**2 / 2.0, across, across]), rel=1e-12)
    assert found.moment == pytest.approx([3e-3 * 0.06, 0.0, 0.0], rel=1e-14)


def test_tube_about_its_centre() -> None:
    """m (ro^2 + ri^2)/2 along; a thin one (no wall given) m r^2; a solid one is a rod."""
    found = of(TUBE)
    across = 3e-3 * (0.12**2 / 12.0 + (0.004**2 + 0.003**2) / 4.0)
    assert found.inertia == pytest.approx(np.diag([3e-3 * (0.004**2 + 0.003**2) / 2.0, across, across]), rel=1e-12)
    thin, solid = TUBE.model_copy(update={"wall_mm": None}), TUBE.model_copy(update={"wall_mm": 4.0})
    assert of(thin).inertia[0, 0] == pytest.approx(3e-3 * 0.004**2, rel=1e-12)
    assert of(solid).inertia == pytest.approx(
        rod_inertia(3e-3, np.array([0.12, 0.0, 0.0]), 0.004), rel=1e-12, abs=1e-20
    )


def test_plate() -> None:
    """m (b^2 + t^2)/12 and so on, length along x, normal z."""
    a, b, t = 0.06, 0.04, 0.005
    want = 4e-3 / 12.0 * np.diag([b * b + t * t, a * a + t * t, a * a + b * b])
    assert of(PLATE_PART).inertia == pytest.approx(want, rel=1e-12)


def test_length_of_a_plate_is_squared_up_against_its_normal() -> None:
    slanting = PLATE_PART.model_copy(update={"along": (1.0, 0.0, 0.7)})
    assert of(slanting).inertia == pytest.approx(of(PLATE_PART).inertia, rel=1e-12, abs=1e-20)


def test_ring() -> None:
    """m r^2 about its axis, half of it across."""
    polar = 5e-3 * 0.025**2
    assert of(RING).inertia == pytest.approx(np.diag([0.5 * polar, 0.5 * polar, polar]), rel=1e-12)


@pytest.mark.parametrize("part", [PLATE_PART, RING])
def test_solid_is_the_sum_of_its_grains(part: PlatePart | RingPart) -> None:
    """Independent of any formula: 50 x 50 grains of a thin plate, or 400 of a ring, at a slant. Second order in the grain: 1e-3."""
    normal = np.array([1.0, -2.0, 2.0]) / 3.0
    along = np.array([2.0, 2.0, 1.0]) / 3.0
    side = np.cross(normal, along)
    if isinstance(part, PlatePart):
        part = part.model_copy(update={"normal": tuple(normal), "along": tuple(along), "thickness_mm": 0.0})
        s = (np.arange(50) + 0.5) / 50.0 - 0.5
        grains = (0.06 * s[:, None, None] * along + 0.04 * s[None, :, None] * side).reshape(-1, 3)
    else:
        part = part.model_copy(update={"normal": tuple(normal)})
        a = 2.0 * math.pi * np.arange(400) / 400.0
        grains = 0.025 * (np.cos(a)[:, None] * along + np.sin(a)[:, None] * side)
    grains = grains * [1.0, 1.0, -1.0]
    mass = 1e-3 * part.mass_g / len(grains)
    want = mass * (np.sum(grains**2) * np.eye(3) - grains.T @ grains)
    assert of(part).inertia == pytest.approx(want, rel=1e-3, abs=1e-3 * np.abs(want).max())


@pytest.mark.parametrize("part", ALL, ids=lambda part: part.kind)
def test_parallel_axes(part: Any) -> None:
    """Moved by d: inertia about the datum gains m (d^2 1 - d d) + terms of the first moment; about the centre nothing changes."""
    by = np.array([70.0, -30.0, 55.0])
    moved = part.model_copy(
        update={
            key: tuple(np.array(getattr(part, key)) + by) for key in ("at_mm", "from_mm", "to_mm") if hasattr(part, key)
        }
    )
    first, other = of(part), of(moved)

    def central(found: MassProperties) -> Array:
        c = found.moment / found.mass
        return found.inertia - found.mass * (c @ c * np.eye(3) - np.outer(c, c))

    assert other.moment - first.moment == pytest.approx(first.mass * body_place(tuple(by)), rel=1e-12)
    assert central(other) == pytest.approx(central(first), abs=1e-12 * np.abs(other.inertia).max())


def turned(part: Any, r: Array) -> Any:
    keys = ("at_mm", "from_mm", "to_mm", "along", "normal")
    return part.model_copy(
        update={key: tuple(float(x) for x in r @ np.array(getattr(part, key))) for key in keys if hasattr(part, key)}
    )


def test_list_turned_as_a_whole_turns_mass_and_air() -> None:
    """Inertia, first moment, stations and contact points of all kinds of part under ten rotations. Rounding."""
    flip = np.diag([1.0, 1.0, -1.0])
    first = of(*ALL)
    for seed in range(10):
        r = Rotation.random(random_state=seed).as_matrix()
        body = flip @ r @ flip
        other = of(*(turned(part, r) for part in ALL))
        assert other.mass == first.mass
        assert other.moment == pytest.approx(body @ first.moment, abs=1e-15)
        assert other.inertia == pytest.approx(body @ first.inertia @ body.T, abs=1e-12 * np.abs(first.inertia).max())
        for part in ALL[:4]:  # a ring picks its four points anew
            for a, b in zip(stations(part), stations(turned(part, r)), strict=True):
                assert b.place == pytest.approx(body @ a.place, abs=1e-14)
                assert b.drag_area == pytest.approx(a.drag_area, rel=1e-12)
            for p, q in zip(contact_points(part), contact_points(turned(part, r)), strict=True):
                assert np.linalg.norm(q) == pytest.approx(np.linalg.norm(p), rel=1e-12)


def test_drag_areas() -> None:
    """cd S: lump 1.0 S, rod 1.2 d L, plate 1.2 a b, ring 1.2 pi D d; own coefficient wins; drag = false has none."""
    total = {part.kind: sum(s.drag_area for s in stations(part)) for part in ALL}
    assert total["point"] == pytest.approx(1.0 * 50e-6, rel=1e-12)
    assert total["rod"] == pytest.approx(1.2 * 0.008 * 0.12, rel=1e-12)
    assert total["plate"] == pytest.approx(1.2 * 0.06 * 0.04, rel=1e-12)
    assert total["ring"] == pytest.approx(1.2 * math.pi * 0.05 * 0.001, rel=1e-12)
    kinds = {part.kind: {s.kind for s in stations(part)} for part in ALL}
    assert kinds == {"point": {LUMP}, "rod": {ROD}, "tube": {ROD}, "plate": {PLATE}, "ring": {ROD}}
    for part in ALL:
        own = part.model_copy(update={"drag_coefficient": 0.6})
        share = 0.6 if part.kind == "point" else 0.5
        assert sum(s.drag_area for s in stations(own)) == pytest.approx(share * total[part.kind], rel=1e-12)
        assert stations(part.model_copy(update={"drag": False})) == []
    assert stations(POINT.model_copy(update={"drag_area_mm2": 0.0})) == []


def test_points_that_touch() -> None:
    """Ends of a rod, corners of a plate, a point itself, four points of a ring on its circle; none when told so."""
    assert np.array(contact_points(ROD_PART)) == pytest.approx(np.array([[0, 0, 0], [0.12, 0, 0]]))
    corners = {tuple(np.round(1e3 * c, 9) + 0.0) for c in contact_points(PLATE_PART)}
    assert corners == {(30.0, 20.0, 0.0), (30.0, -20.0, 0.0), (-30.0, 20.0, 0.0), (-30.0, -20.0, 0.0)}
    assert contact_points(POINT)[0] == pytest.approx([0.03, -0.02, -0.01])
    ring = np.array(contact_points(RING))
    assert np.linalg.norm(ring, axis=1) == pytest.approx(np.full(4, 0.025))
    assert np.abs(ring.sum(axis=0)).max() < 1e-15
    for part in ALL:
        assert contact_points(part.model_copy(update={"touches": False})) == []


def test_skein_is_a_rod_between_its_hooks() -> None:
    """The rig's: a point of 5 g and 0.5 g of rubber, 20 to 40 mm under the datum; section = mass/(density length)."""
    whole = craft()
    found = fuselage(whole)
    assert found.mass == pytest.approx(5.5e-3, rel=1e-12)
    assert found.moment == pytest.approx([0.0, 0.0, 5e-3 * 0.02 + 0.5e-3 * 0.03], rel=1e-12)
    across = 5e-3 * 0.02**2 + 0.5e-3 * (0.03**2 + 0.02**2 / 12.0)
    assert found.inertia == pytest.approx(np.diag([across, across, 0.0]), rel=1e-12, abs=1e-18)
    assert section_of(whole.skein) == pytest.approx(0.5e-3 / (930.0 * 0.1), rel=1e-12)


def test_mass_of_nothing_adds_nothing() -> None:
    found = of(*(part.model_copy(update={"mass_g": 0.0}) for part in ALL))
    assert found.mass == 0.0
    assert not found.inertia.any()


@pytest.mark.parametrize(
    ("part", "word"),
    [
        ({"kind": "rod", "from_mm": [9, 9, -30], "to_mm": [9, 9, -30], "diameter_mm": 2}, "to_mm"),
        ({"kind": "plate", "at_mm": [0, 0, 0], "length_mm": 9, "width_mm": 9, "along": [0, 0, 1], "normal": [0, 0, 2]}, "along"),
        ({"kind": "plate", "at_mm": [0, 0, 0], "length_mm": 9, "width_mm": 9, "along": [0, 0, 1], "normal": [0, 0, 0]}, "normal"),
        ({"kind": "ring", "at_mm": [0, 0, 0], "diameter_mm": 9, "wire_diameter_mm": 1, "normal": [0, 0, 0]}, "normal"),
        ({"kind": "tube", "from_mm": [0, 0, -30], "to_mm": [9, 0, -30], "diameter_mm": 2, "wall_mm": 1.5}, "wall_mm"),
    ],
)  # fmt: skip
def test_part_without_a_shape_is_one_clear_line(part: dict[str, Any], word: str) -> None:
    with pytest.raises(BadInput) as caught:
        craft(part=[{"name": "odd", "mass_g": 1.0, **part}])
    assert word in str(caught.value)
    assert "\n" not in str(caught.value)
