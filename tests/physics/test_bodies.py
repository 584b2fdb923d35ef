"""Mass matrix, bias and their solution against numpy's own linear algebra.

Tried once on broken code, each failed here: one sign in the turned inertia, one in the back substitution, unknowns taken in the order of
the joints, bias left from the state before, omega x J omega left out.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from paddlebar.flight.rhs import work_array
from paddlebar.physics import bodies
from reference.still_craft import cloud, triad

Array = NDArray[np.float64]


def symmetric(entries: tuple[float, ...]) -> Array:
    xx, yy, zz, xy, xz, yz = entries
    return np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])


def entries(j: Array) -> tuple[float, ...]:
    return j[0, 0], j[1, 1], j[2, 2], j[0, 1], j[0, 2], j[1, 2]


def skew(r: Array) -> Array:
    return np.array([[0.0, -r[2], r[1]], [r[2], 0.0, -r[0]], [-r[1], r[0], 0.0]])


def carried(work: Array, n: int, c: Array, axis: Array, place: Array, order: Sequence[int]) -> tuple[Array, Array]:
    """Add the joints that carry a body with its centre at c; partial velocities of that centre and of its turning, (3, n) each."""
    partial_v, partial_w = np.zeros((3, n)), np.zeros((3, n))
    partial_v[:, :3], partial_v[:, 3:6], partial_w[:, 3:6] = np.eye(3), -skew(c), np.eye(3)
    for row, unknown in enumerate(order):
        bodies.add_joint(work, np.int64(unknown), tuple(axis[row]), tuple(place[row]))
        partial_w[:, unknown] = axis[row]
        partial_v[:, unknown] = np.cross(axis[row], c - place[row])
    return partial_v, partial_w


@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_turned_inertia_is_r_j_rt(hand: float) -> None:
    """Columns of R the three unit vectors, also when they are left-handed."""
    rng = np.random.default_rng(1)
    for _ in range(20):
        _, _, inertia = cloud(rng, 0.01, np.array([0.1, 0.05, 0.02]), np.zeros(3))
        r = triad(rng).T @ np.diag([1.0, hand, 1.0])
        got = symmetric(bodies.turn_inertia(inertia, tuple(map(tuple, r.T))))
        assert got == pytest.approx(r @ inertia @ r.T, rel=1e-12, abs=1e-13 * np.abs(inertia).max())


def test_inertia_of_a_body_of_revolution() -> None:
    rng = np.random.default_rng(2)
    r = triad(rng).T
    got = symmetric(bodies.axial_inertia(3e-6, 2e-6, tuple(r[:, 2])))
    assert got == pytest.approx(r @ np.diag([2e-6, 2e-6, 3e-6]) @ r.T, rel=1e-12, abs=1e-18)


@pytest.mark.parametrize(
    ("flaps", "base_locked", "locked"),
    [(0, 0, (7, 8)), (1, 0, ()), (1, 1, (8,)), (2, 0, (6, 9)), (6, 0, ()), (6, 1, (7,))],
)
def test_solution_is_numpys(flaps: int, base_locked: int, locked: tuple[int, ...]) -> None:
    """Mass matrices as badly scaled as ours (kilograms beside 1e-8 kg m^2), with any coordinates held.

    1e-10: condition after scaling by the diagonal is about 1e3, times rounding, times a margin of 1e3.
    """
    n = bodies.FLAP + flaps
    rng = np.random.default_rng([3, flaps, base_locked])
    held = np.zeros(bodies.FLAP + 6, dtype=np.int64)
    held[list(locked)] = 1
    for _ in range(20):
        a = rng.normal(size=(n, 2 * n))
        scale = 10.0 ** rng.uniform(-4.0, 0.0, n)
        matrix = (a @ a.T) * np.outer(scale, scale)
        bias = rng.normal(size=n) * scale
        work = work_array()
        work[bodies.MASS : bodies.MASS + n, :n] = np.tril(matrix) + np.triu(
            np.full((n, n), np.nan), 1
        )  # the upper half is not read
        work[bodies.BIAS, :n] = bias
        bodies.solve(work, n, base_locked, held)
        got = work[bodies.SOLUTION, :n]
        free = [k for k in range(n) if not held[k] and not (base_locked and k < 6)]
        want = np.zeros(n)
        want[free] = np.linalg.solve(matrix[np.ix_(free, free)], -bias[free])
        assert got == pytest.approx(want, rel=1e-10, abs=1e-10 * np.abs(want * scale).max() / scale.max())
        assert not got[[k for k in range(n) if k not in free]].any()


@pytest.mark.parametrize("order", [(6, 7, 9), (9, 7, 6), (7, 9, 6)])
def test_a_body_adds_its_kinetic_energy_and_its_inertia_force(order: tuple[int, int, int]) -> None:
    """H = V' m V + W' J W and C = V' (m a - f) + W' (J b + w x J w - M about the centre), V and W its partial velocities, any order of unknowns."""
    rng = np.random.default_rng(5)
    n = 10
    m, c, j = cloud(rng, 0.01, np.array([0.1, 0.05, 0.02]), np.array([0.05, 0.02, -0.03]))
    axis, place = rng.normal(size=(2, 3, 3))
    place *= 0.1
    w, a, b, f, moment = rng.normal(size=(5, 3))
    work = work_array()
    bodies.clear(work, n)
    partial_v, partial_w = carried(work, n, c, axis, place, order)
    bodies.add_body(work, (m, tuple(c), entries(j)), (tuple(w), tuple(a), tuple(b)), (tuple(f), tuple(moment)))
    bodies.close_base(work)
    got = np.tril(work[:n, :n])
    want = m * partial_v.T @ partial_v + partial_w.T @ j @ partial_w
    assert got == pytest.approx(np.tril(want), rel=1e-12, abs=1e-17)
    about_centre = moment - np.cross(c, f)
    force = partial_v.T @ (m * a - f) + partial_w.T @ (j @ b + np.cross(w, j @ w) - about_centre)
    assert work[bodies.BIAS, :n] == pytest.approx(force, rel=1e-12, abs=1e-14)
    u = rng.normal(size=n)
    v_centre, rate = partial_v @ u, partial_w @ u
    assert bodies.kinetic_energy(work, n, u) == pytest.approx(
        0.5 * m * v_centre @ v_centre + 0.5 * rate @ j @ rate, rel=1e-12
    )


def test_clear_leaves_nothing_behind() -> None:
    work = np.ones_like(work_array())
    bodies.clear(work, 12)
    assert not work[bodies.MASS : bodies.MASS + 12, :12].any()
    assert not work[bodies.BIAS, :12].any()
    assert not work[bodies.TOTAL, :10].any()


def test_rows_of_the_work_array_do_not_overlap_and_all_fit() -> None:
    """Fifteen unknowns at most (nine and six flapping ones): matrix and factor take as many rows, the loads of flight/rhs.py one."""
    most = bodies.FLAP + 6
    rows = [
        *range(bodies.MASS, bodies.MASS + most),
        bodies.BIAS,
        bodies.SOLUTION,
        *range(bodies.SCREWS, bodies.SCREWS + 3),
    ]
    rows += [bodies.TOTAL, bodies.DIAGNOSTIC, *range(bodies.FACTOR, bodies.FACTOR + most)]
    rows += [bodies.FREE, bodies.PIVOT, bodies.RIGHT, bodies.SETTING]
    assert sorted(rows) == list(range(bodies.WORK_ROWS))
    assert work_array().shape == (bodies.WORK_ROWS, bodies.WORK_COLUMNS)
    assert most <= bodies.WORK_COLUMNS
    assert (bodies.BASE, bodies.BASE_RATE, bodies.SHAFT, bodies.BAR, bodies.TAIL, bodies.FLAP) == (0, 3, 6, 7, 8, 9)
    columns = [*range(bodies.AXIS, bodies.AXIS + 3), *range(bodies.VELOCITY, bodies.VELOCITY + 3)]
    assert len({*columns, bodies.UNKNOWN, bodies.JOINTS}) == 8


@pytest.mark.parametrize(("joints", "order"), [(0, ()), (1, (6,)), (2, (6, 7)), (2, (9, 6))])
def test_body_on_fewer_joints_asks_for_those_alone(joints: int, order: tuple[int, ...]) -> None:
    """H, C and totals of a body that 0, 1 or 2 joints carry, as above; the unknowns that it does not have stay nought."""
    rng = np.random.default_rng([6, joints])
    n = 11
    m, c, j = cloud(rng, 0.01, np.array([0.1, 0.05, 0.02]), np.array([0.05, 0.02, -0.03]))
    axis, place = rng.normal(size=(2, joints, 3))
    w, a, b, f, moment = rng.normal(size=(5, 3))
    work = work_array()
    partial_v, partial_w = carried(work, n, c, axis, place, order)
    bodies.add_body(work, (m, tuple(c), entries(j)), (tuple(w), tuple(a), tuple(b)), (tuple(f), tuple(moment)))
    bodies.close_base(work)
    want = m * partial_v.T @ partial_v + partial_w.T @ j @ partial_w
    assert np.tril(work[:n, :n]) == pytest.approx(np.tril(want), rel=1e-12, abs=1e-16)
    force = partial_v.T @ (m * a - f) + partial_w.T @ (j @ b + np.cross(w, j @ w) - (moment - np.cross(c, f)))
    assert work[bodies.BIAS, :n] == pytest.approx(force, rel=1e-12, abs=1e-14)


def test_two_bodies_add_up_and_leave_the_rest_alone() -> None:
    """The same body twice doubles matrix, bias and totals; clear empties as many rows as it is told and no more."""
    rng = np.random.default_rng(7)
    m, c, j = cloud(rng, 0.01, np.array([0.1, 0.05, 0.02]), np.array([0.05, 0.02, -0.03]))
    w, a, b, f, moment = map(tuple, rng.normal(size=(5, 3)))
    given = ((m, tuple(c), entries(j)), (w, a, b), (f, moment))
    axis, place = map(tuple, rng.normal(size=(2, 3)))
    once, twice = work_array(), work_array()
    for work, times in ((once, 1), (twice, 2)):
        for _ in range(times):
            bodies.add_joint(work, bodies.SHAFT, axis, place)
            bodies.add_body(work, *given)
        bodies.close_base(work)
    n = bodies.FLAP
    assert twice[bodies.MASS : bodies.MASS + n, :n] == pytest.approx(
        2.0 * once[bodies.MASS : bodies.MASS + n, :n], rel=1e-14
    )
    for row in (bodies.BIAS, bodies.TOTAL):
        assert twice[row] == pytest.approx(2.0 * once[row], rel=1e-14)
    work = np.ones_like(work_array())
    bodies.clear(work, 4)
    assert work[bodies.MASS + 4 : bodies.MASS + 9].all()
    assert work[bodies.MASS : bodies.MASS + 4, 4:].all()
    assert work[bodies.BIAS, 4:].all()
    assert work[bodies.TOTAL, 10:].all()
    assert work[bodies.SCREWS].sum() == bodies.WORK_COLUMNS - 1  # all but the number of joints


def test_energy_is_that_of_the_lower_half_of_the_matrix() -> None:
    """u H u/2 by numpy, H known by its lower half."""
    rng = np.random.default_rng(9)
    n = 11
    a, u = rng.normal(size=(n, n)), rng.normal(size=n)
    matrix = a @ a.T
    work = work_array()
    work[bodies.MASS : bodies.MASS + n, :n] = np.tril(matrix) + np.triu(np.full((n, n), np.nan), 1)
    assert bodies.kinetic_energy(work, n, u) == pytest.approx(0.5 * u @ matrix @ u, rel=1e-12)


def test_a_body_uses_up_its_joints_and_a_solution_leaves_none() -> None:
    """The next body stands on what is added after: a joint left over would write where it has no business."""
    work = work_array()
    axis, place = (0.0, 0.0, 1.0), (0.1, 0.0, 0.0)
    body, still, none = (0.01, place, (1e-6, 1e-6, 1e-6, 0.0, 0.0, 0.0)), ((0.0,) * 3,) * 3, ((0.0,) * 3,) * 2
    bodies.add_joint(work, bodies.SHAFT, axis, (0.0, 0.0, 0.0))
    assert work[bodies.SCREWS, bodies.JOINTS] == 1.0
    bodies.add_body(work, body, still, none)
    assert work[bodies.SCREWS, bodies.JOINTS] == 0.0
    before = work[bodies.SHAFT, bodies.SHAFT]
    bodies.add_body(work, body, still, none)
    assert work[bodies.SHAFT, bodies.SHAFT] == before
    bodies.close_base(work)
    bodies.solve(work, bodies.BAR, 0, np.zeros(15, dtype=np.int64))
    assert work[bodies.SCREWS, bodies.JOINTS] == 0.0
