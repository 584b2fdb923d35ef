"""The air on plates, rods and lumps: by hand, in any frame, and never giving energy.

Broken : cross-flow taken of the whole speed; plate force along the wind; one component of the moment with r and F exchanged: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from paddlebar.craft.parts import rod_stations
from paddlebar.physics.airframe import LUMP, PLATE, ROD, airframe_loads, station_load
from physics.given import flat, record

Array = NDArray[np.float64]
KINDS = [PLATE, ROD, LUMP]


def load(kind: int, half_drag: float, axis: Array, u: Array) -> Array:
    return np.array(station_load(kind, half_drag, tuple(axis), tuple(u)))


def loads(p: object, u: Array, w: Array, v0: float = 0.0, through: float = 1.0) -> Array:
    """Force and moment of the whole airframe, (6,)."""
    return np.array(flat(airframe_loads(p, tuple(u), tuple(w), v0, through)))


X, Y, Z = np.eye(3)


def test_broadside_plate_and_rod_and_a_lump_by_hand() -> None:
    """0.5 x 1.2 kg/m^3 x 1.2 x 0.01 m^2 x (5 m/s)^2 = 0.18 N against the motion."""
    half = 0.5 * 1.2 * 1.2 * 0.01
    for kind, axis in ((PLATE, X), (ROD, Z), (LUMP, Z)):
        assert load(kind, half, axis, 5.0 * X) == pytest.approx([-0.18, 0.0, 0.0], rel=1e-12)


def test_edgewise_plate_and_endwise_rod_feel_nothing() -> None:
    assert not load(PLATE, 0.01, X, 5.0 * Y).any()
    assert load(ROD, 0.01, X, 5.0 * X) == pytest.approx(np.zeros(3), abs=1e-15)


@pytest.mark.parametrize("incidence", [5.0, 20.0, 45.0, 60.0, 89.0])
def test_plate_lifts_and_drags_as_the_normal_force_asks(incidence: float) -> None:
    """Drag over lift is tan(alpha) at any angle, as measured on revolving wings at 20 to 60 deg (J. R. Usherwood, C. P. Ellington,
    J. Exp. Biol. 205 (2002) 1547 [A]); force along the normal, as the sine. Exact."""
    a = math.radians(incidence)
    force = load(PLATE, 0.01, Z, 5.0 * np.array([math.cos(a), 0.0, math.sin(a)]))
    along = np.array([math.cos(a), 0.0, math.sin(a)])
    across = np.array([-math.sin(a), 0.0, math.cos(a)])
    assert (force @ along) / (force @ across) == pytest.approx(math.tan(a), rel=1e-12)
    assert force == pytest.approx([0.0, 0.0, -0.01 * 25.0 * math.sin(a)], rel=1e-12)


@pytest.mark.parametrize("sweep", [0.0, 30.0, 60.0, 85.0])
def test_slanting_rod_follows_the_cross_flow_principle(sweep: float) -> None:
    """Force across the rod as cos^2 of its sweep, none along it."""
    a = math.radians(sweep)
    axis = np.array([math.sin(a), 0.0, math.cos(a)])
    force = load(ROD, 0.01, axis, 5.0 * X)
    assert force @ axis == pytest.approx(0.0, abs=1e-15)
    assert np.linalg.norm(force) == pytest.approx(0.01 * 25.0 * math.cos(a) ** 2, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_force_does_not_ask_for_the_frame_nor_for_the_side_of_the_normal(kind: int) -> None:
    rng = np.random.default_rng([1, kind])
    for _ in range(50):
        axis, u = rng.normal(size=3), rng.normal(size=3) * 5.0
        axis /= np.linalg.norm(axis)
        r = Rotation.random(random_state=int(rng.integers(1 << 30))).as_matrix()
        force = load(kind, 0.01, axis, u)
        assert load(kind, 0.01, r @ axis, r @ u) == pytest.approx(r @ force, rel=1e-12, abs=1e-14)
        assert load(kind, 0.01, -axis, u) == pytest.approx(force, rel=1e-12)
        assert load(kind, 0.01, axis, -u) == pytest.approx(-force, rel=1e-12)
        assert load(kind, 0.01, axis, 3.0 * u) == pytest.approx(9.0 * force, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_drag_always_takes_energy(kind: int) -> None:
    rng = np.random.default_rng([2, kind])
    for _ in range(200):
        axis, u = rng.normal(size=3), rng.normal(size=3)
        assert load(kind, 0.01, axis / np.linalg.norm(axis), u) @ u <= 0.0
    assert not load(kind, 0.01, X, np.zeros(3)).any()


def airframe(rng: np.random.Generator, n: int = 12) -> tuple[NDArray[np.int64], Array, Array, Array]:
    axis = rng.normal(size=(n, 3))
    kinds = rng.integers(0, 3, n)
    return (
        kinds,
        rng.normal(size=(n, 3)) * 0.2,
        axis / np.linalg.norm(axis, axis=1)[:, None],
        rng.uniform(0.001, 0.01, n),
    )


def given(kinds: NDArray[np.int64], places: Array, axes: Array, half: Array, **more: object) -> object:
    return record(
        stations=len(kinds),
        st_kind=kinds,
        st_place=places,
        st_axis=axes,
        st_half_drag=half,
        shaft_axis=np.array([0.0, 0.0, -1.0]),
        **more,
    )


def test_airframe_is_the_sum_of_its_stations() -> None:
    rng = np.random.default_rng(3)
    kinds, places, axes, half = airframe(rng)
    u, w = np.array([3.0, -1.0, 0.5]), np.array([1.0, -2.0, 4.0])
    forces = np.array([load(k, h, a, u + np.cross(w, r)) for k, h, a, r in zip(kinds, half, axes, places, strict=True)])
    want = np.concatenate([forces.sum(axis=0), np.cross(places, forces).sum(axis=0)])
    assert loads(given(kinds, places, axes, half), u, w) == pytest.approx(want, rel=1e-12)


def test_whole_airframe_turned_turns_its_loads_and_takes_energy() -> None:
    rng = np.random.default_rng(4)
    for seed in range(20):
        kinds, places, axes, half = airframe(rng)
        u, w = rng.normal(size=3) * 3.0, rng.normal(size=3) * 10.0
        r = Rotation.random(random_state=seed).as_matrix()
        first = loads(given(kinds, places, axes, half), u, w)
        turned = loads(given(kinds, places @ r.T, axes @ r.T, half), r @ u, r @ w)
        assert turned == pytest.approx(np.concatenate([r @ first[:3], r @ first[3:]]), rel=1e-10, abs=1e-13)
        assert first[:3] @ u + first[3:] @ w <= 0.0


def test_swung_rod_meets_the_closed_form() -> None:
    """Rod of length L swung about its end at omega: moment rho cd d omega^2 L^4/8 [C]; the two-point rule is exact for it."""
    rho, cd, d, length, rate = 1.2, 1.2, 0.004, 0.3, 7.0
    rods = rod_stations(np.zeros(3), np.array([length, 0.0, 0.0]), d, cd)
    p = given(
        np.array([s.kind for s in rods]), np.array([s.place for s in rods]), np.array([s.axis for s in rods]),
        np.array([0.5 * rho * s.drag_area for s in rods]),
    )  # fmt: skip
    assert loads(p, np.zeros(3), rate * Z)[5] == pytest.approx(-rho * cd * d * rate**2 * length**4 / 8.0, rel=1e-12)


@pytest.mark.parametrize(("through", "share"), [(1.0, 1.8), (-1.0, 0.3), (0.0, 1.05)])
def test_lump_in_the_wash_is_pushed_along_the_flow(through: float, share: float) -> None:
    """At rest, shaft upright, inflow 0.6 m/s down: k (share v0)^2, down (body z); the other share when the flow goes up."""
    p = given(
        np.array([LUMP]), np.zeros((1, 3)), np.array([X]), np.array([0.01]), st_wash_down=np.array([1.8]), st_wash_up=np.array([0.3])
    )  # fmt: skip
    found = loads(p, np.zeros(3), np.zeros(3), 0.6, through)
    assert found[:3] == pytest.approx([0.0, 0.0, 0.01 * (share * 0.6) ** 2], rel=1e-12)
    assert not np.any(loads(p, np.zeros(3), np.zeros(3), 0.0, through))


def test_wash_comes_along_the_shaft_wherever_that_points() -> None:
    """Air that sinks along a slanting shaft with each station's own share: the station moves through it at u + w x r + wash a."""
    rng = np.random.default_rng(6)
    kinds, places, axes, half = airframe(rng)
    down, up = rng.uniform(0.0, 2.0, (2, len(kinds)))
    shaft = np.array([0.3, -0.2, -1.0]) / math.sqrt(1.13)
    u, w, v0 = np.array([0.5, -1.0, 0.7]), np.array([3.0, -2.0, 4.0]), 0.8
    for through in (1.0, -1.0, 0.4):
        wash = v0 * (0.5 * (1.0 + through) * down + 0.5 * (1.0 - through) * up)
        forces = np.array(
            [load(kinds[k], half[k], axes[k], u + np.cross(w, places[k]) + wash[k] * shaft) for k in range(len(kinds))]
        )
        p = record(
            stations=len(kinds), st_kind=kinds, st_place=places, st_axis=axes, st_half_drag=half, shaft_axis=shaft, st_wash_down=down, st_wash_up=up
        )  # fmt: skip
        want = np.concatenate([forces.sum(axis=0), np.cross(places, forces).sum(axis=0)])
        assert loads(p, u, w, v0, through) == pytest.approx(want, rel=1e-11)
