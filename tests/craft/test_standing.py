"""What stands still: places, outlines and circles by hand.

Broken : up for down in a place; a rim across another axis; a plate's edge left open: each refused here.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from craft.test_parts import PLATE_PART, POINT, RING, ROD_PART
from paddlebar.craft.places import body_place, file_mm
from paddlebar.craft.standing import CORNERS, STEP, circle, contacts, corners, outline, skeins, tail_of
from paddlebar.files.load import load_craft

HALL = Path(__file__).parents[2] / "models" / "hall-ten.toml"


def test_places_go_to_body_axes_and_back() -> None:
    assert body_place((30.0, -20.0, 10.0)) == pytest.approx([0.030, -0.020, -0.010])
    assert file_mm(np.array([[0.030, -0.020, -0.010]])) == pytest.approx(np.array([[30.0, -20.0, 10.0]]))


@pytest.mark.parametrize("normal", [(0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (-0.6, 0.0, 0.8)])
def test_a_circle_goes_once_round_its_axis(normal: tuple[float, float, float]) -> None:
    centre, axis = np.array([0.1, 0.2, 0.3]), np.array(normal)
    found = circle(centre, axis, 0.05) - centre
    assert found.shape == (CORNERS + 1, 3)
    assert found[-1] == pytest.approx(found[0], abs=1e-15)
    assert np.linalg.norm(found, axis=1) == pytest.approx(np.full(CORNERS + 1, 0.05))
    assert found @ axis == pytest.approx(np.zeros(CORNERS + 1), abs=1e-16)
    steps = np.linalg.norm(np.diff(found, axis=0), axis=1)
    assert steps == pytest.approx(np.full(CORNERS, 0.1 * math.sin(math.pi / CORNERS)))
    many = circle(np.array([centre, 2.0 * centre]), np.array([axis, axis]), 0.05, 6)
    assert many.shape == (2, 7, 3)
    assert many[1] - many[0] == pytest.approx(np.tile(centre, (7, 1)))


def test_outlines_of_parts() -> None:
    """A rod of 120 mm in steps of 1 mm; a plate of 60 by 40 mm round its edge and back; a ring 25 mm from its middle; a lump."""
    rod = outline(ROD_PART)
    assert (rod.name, rod.half) == ("part b", pytest.approx(4e-3))
    assert rod.points[[0, -1]] == pytest.approx(np.array([[0.0, 0.0, 0.0], [0.12, 0.0, 0.0]]))
    assert np.linalg.norm(np.diff(rod.points, axis=0), axis=1) == pytest.approx(np.full(120, STEP))
    plate = outline(PLATE_PART)
    assert plate.half == pytest.approx(2.5e-3)
    assert plate.points[-1] == pytest.approx(plate.points[0])
    assert np.linalg.norm(np.diff(plate.points, axis=0), axis=1).sum() == pytest.approx(0.2)
    assert np.abs(plate.points).max(axis=0) == pytest.approx([0.03, 0.02, 0.0], abs=1e-15)
    ring = outline(RING)
    assert ring.half == pytest.approx(0.5e-3)
    assert np.linalg.norm(ring.points, axis=1) == pytest.approx(np.full(CORNERS + 1, 0.025))
    assert ring.points[:, 2] == pytest.approx(np.zeros(CORNERS + 1))
    lump = outline(POINT)
    assert (lump.points.shape, lump.half) == ((1, 3), 0.0)
    assert [corners(part).shape[0] for part in (POINT, ROD_PART, PLATE_PART)] == [1, 2, 5]


def test_a_plate_whose_length_is_askew_is_squared_up_everywhere() -> None:
    """As its mass and its air have it: 60 mm along what is left of `along` across the normal."""
    skew = PLATE_PART.model_copy(update={"along": (10.0, 0.0, 1.0)})
    assert corners(skew) == pytest.approx(corners(PLATE_PART))


@pytest.mark.parametrize("way", ["left", "right"])
def test_the_disc_of_the_tail(way: str) -> None:
    craft = load_craft(HALL, {"tail.thrust_to": way})
    assert craft.tail is not None
    disc, place = tail_of(craft.tail), body_place(craft.tail.at_mm)
    assert disc.axis == pytest.approx([0.0, 1.0 if way == "right" else -1.0, 0.0])
    assert np.cross(disc.one, disc.two) == pytest.approx(disc.axis)
    rim = disc.rim() - place
    assert np.abs(rim).max(axis=0) == pytest.approx([disc.radius, 0.0, disc.radius])
    points = np.array(contacts(craft))
    assert points[-4:] - place == pytest.approx(disc.radius * np.array([disc.one, disc.two, -disc.one, -disc.two]))
    assert len(points) == sum(1 if part.kind == "point" else 4 if part.kind in ("plate", "ring") else 2 for part in craft.part if part.touches) + 4  # fmt: skip


def test_skeins_lie_between_their_hooks() -> None:
    """Six strands of 2.15 by 1 mm: 12.9 mm2, as one round bundle 2.026 mm in radius."""
    own = {
        "tail.drive": "skein",
        "tail.skein": {"mass_g": 0.3, "length_mm": 120, "hooks_mm": [[-240, 0, -105], [-120, 0, -105]]},
    }
    main, tail = skeins(load_craft(HALL, own))
    assert main.section == pytest.approx(12.9e-6, rel=1e-12)
    assert main.radius == pytest.approx(2.026e-3, rel=1e-3)
    assert file_mm(tail.ends) == pytest.approx(np.array([[-240, 0, -105], [-120, 0, -105]]))
