"""Each public compiled function of physics/ gives what its plain Python gives. 1e-12: another compiler's exp may differ in the last bit.

Bodies and mechanism, which write into a work array, are compared as a whole in test_mechanism.py.
"""

from __future__ import annotations

import importlib
import math
import pkgutil
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from numba import njit
from numba.core.registry import CPUDispatcher

from paddlebar import physics
from paddlebar.craft.sections import section_table
from paddlebar.physics.motor import DTYPE, NODES, STEADY
from paddlebar.physics.section import OF_BLADE, OF_PADDLE
from paddlebar.physics.vectors import cross
from physics.given import flat, record

TABLES = np.stack([section_table(name) for name in ("cambered plate", "flat plate", "thin aerofoil")])
WHOLE = {"bodies", "mechanism"}
LOG_CHORD = math.log(0.03 / 1.5e-5)


def elements(prefix: str, n: int) -> dict[str, np.ndarray]:
    x = np.linspace(0.03, 0.19, n)
    return {
        f"{prefix}_x": x, f"{prefix}_pitch": 0.15 - 0.2 * x, f"{prefix}_log_chord": LOG_CHORD + 0.0 * x,
        f"{prefix}_half_area": 3e-4 + 0.0 * x, f"{prefix}_chord_over_r": 0.03 / x, f"{prefix}_shape": 0.8 + x,
    }  # fmt: skip


P = record(
    **elements("el", 5), **elements("tail", 3), elements=5, tail_elements=3, tail_blades=2, tail_hand=-1.0, radius=0.2, hinge_offset=0.01,
    el_cos=np.full(5, 0.99), el_sin=np.full(5, 0.14), el_chord=np.full(5, 0.03), el_damping=np.full(5, 1e-6), el_y_quarter=np.full(5, 2e-3),
    hand=1.0, rotor_alpha_zero=-0.05, tail_alpha_zero=-0.02, paddle_on=np.ones(2), paddle_elements=2, paddle_x=np.array([0.07, 0.09]),
    paddle_half_area=np.array([1e-4, 1e-4]), paddle_shape=np.ones(2), paddle_chord=0.015, paddle_log_chord=LOG_CHORD, paddle_slope=0.5,
    bar_lumps=2, bar_lump_x=np.array([0.05, 0.1]), bar_lump_shape=np.ones(2), bar_half_drag=np.full((2, 2), 1e-6),
    stations=3, st_kind=np.arange(3), st_place=np.array([[0.1, 0, 0], [0, 0.1, 0.2], [0.1, 0.1, 0.1]]), st_axis=np.eye(3),
    st_half_drag=np.full(3, 1e-3), st_wash_down=np.full(3, 1.5), st_wash_up=np.full(3, 0.4), shaft_axis=np.array([0, 0, -1.0]),
    wind_north=2.0, wind_east=-1.0, wind_reference=2.0, wind_shear=0.2, gust_north=1.0, gust_start=0.5, gust_length=2.0, turbulence_rate=25.0,
)  # fmt: skip
Draw = Callable[[np.random.Generator], tuple[Any, ...]]


def uniform(*limits: tuple[float, float]) -> Draw:
    low, high = zip(*limits, strict=True)
    return lambda rng: tuple(float(x) for x in rng.uniform(low, high))


def after(first: tuple[Any, ...], draw: Draw) -> Draw:
    return lambda rng: (*first, *draw(rng))


def motor(rng: np.random.Generator) -> Any:
    """A motor of any kind."""
    made = np.zeros(1, dtype=DTYPE).view(np.recarray)[0]
    made.kind, made.runs_back = rng.integers(STEADY + 1), rng.integers(2)
    made.half_loss, made.breaking, made.plateau, made.knee, made.spike = 0.2, 600.0, 3e-3, 0.08, 2.5
    made.table[:], made.table_last, made.steady = np.linspace(0.0, 5e-3, NODES) ** 1.1, 300.0, 4e-3
    return made


def normals(n: int, size: float = 3.0) -> Draw:
    return uniform(*[(-size, size)] * n)


def vector(rng: np.random.Generator, n: int = 3, size: float = 3.0) -> tuple[float, ...]:
    return normals(n, size)(rng)


def axes(rng: np.random.Generator) -> tuple[tuple[float, ...], ...]:
    return vector(rng), vector(rng), vector(rng)


CURVE = ((-700.0, 700.0), (500.0, 700.0), (1e-3, 5e-3), (0.05, 0.1), (1.0, 3.0))
TABLE = np.array([0.0, 2e-3, 3e-3, 5e-3])
SECTION, ROTOR = (OF_BLADE, -0.05, 1.0), (2, 0.2, 1.2)
RING = (0.14, 0.02, (0.15, LOG_CHORD, 3e-4, 0.2))
X = np.linspace(0.03, 0.19, 5)
ELEMENTS = (X, X * 0 + 0.03, 0.2 - 0.3 * X, X * 0 + LOG_CHORD, X * 0 + 3e-4, 0.03 / X)
AXIS = (0.0, 0.1, math.sqrt(0.99))
DRAWS: dict[str, Draw] = {
    "airframe.station_load": lambda rng: (int(rng.integers(3)), 0.01, vector(rng), vector(rng)),
    "airframe.airframe_loads": lambda rng: (P, vector(rng), vector(rng), *uniform((0.1, 1.0), (-1.0, 1.0))(rng)),
    "annular.annular": lambda rng: (
        *(TABLES, SECTION, ROTOR, ELEMENTS),
        *uniform((30.0, 60.0), (-2.0, 1.0))(rng),
        int(rng.integers(2)),
        np.zeros(5),
    ),
    "annular.ring_excess": lambda rng: (
        *(float(rng.uniform(-1, 3)), TABLES, SECTION, ROTOR, RING),
        *uniform((30.0, 60.0), (-2.0, 1.0))(rng),
        1,
    ),
    "attitude.rotation": lambda rng: (vector(rng, 4),),
    "attitude.quaternion_rate": lambda rng: (vector(rng, 4), vector(rng)),
    "bar.arm_loads": lambda rng: (
        *(P, TABLES, int(rng.integers(2)), vector(rng), (*vector(rng, 2), 40.0), AXIS),
        float(rng.uniform(-1.0, 1.0)),
    ),
    "blade.element_load": lambda rng: (
        *(TABLES, (OF_BLADE, -0.05, float(rng.uniform(0.3, 1.2))), (float(rng.normal()), LOG_CHORD, 3e-4, 0.2)),
        *normals(2, 8.0)(rng),
    ),
    "blade.blade_loads": lambda rng: (
        *(P, TABLES, vector(rng), (*vector(rng, 2), 40.0), AXIS, (0.6, 0.8)),
        vector(rng, 3, 0.5),
    ),
    "cord.cord_grip": uniform((0.0, 1.0), (0.0, 7.0), (0.0, 1.0)),
    "cord.grip_torque": uniform((0.0, 1.0), (0.0, 7.0), (0.0, 1.0), (1e-3, 1e-2)),
    "cord.drive_loss": uniform((-1e-3, 1e-3), (0.0, 0.1), (0.0, 1e-5), (-20.0, 20.0)),
    "ground.induced_share": uniform((0.0, 4.0)),
    "hinge.dry_friction": uniform((0.0, 1e-3), (-2.0, 2.0), (0.1, 0.5)),
    "hinge.stop_moment": uniform((-0.6, 0.6), (-9.0, 9.0), (0.3, 0.5), (1.0, 9.0), (0.0, 0.2)),
    "hinge.hinge_moment": uniform(
        (-0.6, 0.6), (-9.0, 9.0), (0.0, 1e-2), (0.0, 1e-4), (0.0, 1e-4), (0.3, 0.5), (1.0, 9.0), (0.0, 0.2)
    ),
    "inflow.axial_flow_factor": uniform((-7.0, 2.0)),
    "inflow.axial_flow": normals(3),
    "inflow.descent_excess": normals(2),
    "inflow.inflow_rates": lambda rng: (*(vector(rng, 3, 0.5) for _ in range(3)), 1.2, 0.2, float(rng.normal())),
    "inflow.uniform_rate": lambda rng: (*normals(4)(rng), 1.2, 0.05),
    "linkage.feathering": normals(4),
    "motor.motor_torque": lambda rng: (motor(rng), float(rng.uniform(-400, 400))),
    "motor.motor_energy": lambda rng: (motor(rng), float(rng.uniform(-400, 400))),
    "motor.motor_drive": lambda rng: (motor(rng), *uniform((-400, 400), (-1.0, 1.0))(rng)),
    "motor.motor_set_rate": lambda rng: (motor(rng), *uniform((-1.0, 1.0), (-90.0, 90.0))(rng)),
    "motor.motor_stored": lambda rng: (motor(rng), float(rng.uniform(-400, 400))),
    "motor.pulls": lambda rng: (motor(rng), float(rng.uniform(-400, 400))),
    "motor.middle_torque": uniform(*CURVE),
    "motor.middle_energy": uniform(*CURVE),
    "motor.middle_area": uniform((0.0, 1.0), *CURVE[3:]),
    "motor.table_torque": lambda rng: (float(rng.uniform(-400, 400)), TABLE, 300.0),
    "motor.table_energy": lambda rng: (float(rng.uniform(-400, 400)), TABLE, 300.0),
    "section.coefficients": after((TABLES, OF_PADDLE), uniform((-math.pi, math.pi), (7.0, 14.0))),
    "skein.hysteresis_factor": uniform((-1.0, 1.0), (0.0, 0.5)),
    "skein.set_rate": uniform((-1.0, 1.0), (-20.0, 20.0), (5.0, 50.0)),
    "skein.pull": uniform((-5e-3, 5e-3), (1e-6, 3e-5)),
    "stall_delay.stall_delay": uniform((-1.0, 2.0), (0.0, 1.0), (-3.1, 3.1), (-0.1, 0.1), (0.0, 1.0)),
    "tail.tail_loads": lambda rng: (P, TABLES, vector(rng), vector(rng), 200.0, float(rng.normal())),
    "tip_loss.tip_loss": lambda rng: (int(rng.integers(2, 7)), *uniform((0.1, 1.0), (-1.0, 1.0))(rng)),
    **{f"vectors.{name}": lambda rng: (vector(rng), vector(rng)) for name in ("add", "sub", "dot", "cross")},
    **{f"vectors.{name}": lambda rng: (vector(rng), axes(rng)) for name in ("along", "out_of")},
    "vectors.scale": lambda rng: (float(rng.normal()), vector(rng)),
    "vectors.size": lambda rng: (vector(rng),),
    "vectors.tilted": lambda rng: (vector(rng), vector(rng), float(rng.normal())),
    "vectors.times": lambda rng: (vector(rng, 6), vector(rng)),
    "vectors.vec": lambda rng: (rng.normal(size=3),),
    "vectors.row": lambda rng: (rng.normal(size=(4, 3)), int(rng.integers(4))),
    "vectors.three": lambda rng: (rng.normal(size=9), int(rng.integers(6))),
    "vectors.four": lambda rng: (rng.normal(size=9), int(rng.integers(5))),
    "vectors.put": lambda rng: (rng.normal(size=9), int(rng.integers(6)), vector(rng)),
    "vectors.put_four": lambda rng: (rng.normal(size=9), int(rng.integers(5)), vector(rng, 4)),
    "wash.flow_sense": normals(1),
    "wash.wash_met": uniform((-1.0, 1.0), (-1.0, 1.0), (0.0, 2.0), (0.0, 2.0)),
    "wash.developed": normals(1),
    "wash.wash_share": uniform((-3.0, 3.0), (0.0, 2.0), (-1.0, 1.0)),
    "wind.shear": uniform((-1.0, 9.0), (1.0, 10.0), (0.0, 0.4)),
    "wind.gust_share": uniform((-1.0, 4.0), (0.0, 1.0), (0.5, 2.0)),
    "wind.table_gust": lambda rng: (
        np.random.default_rng(1).normal(size=(16, 3)),
        int(rng.integers(3)),
        float(rng.uniform(-20, 60)),
    ),
    "wind.wind": lambda rng: (*uniform((0.0, 4.0), (0.0, 9.0))(rng), P, np.random.default_rng(1).normal(size=(16, 3))),
}


def compiled_functions() -> dict[str, Any]:
    found = {}
    for module in pkgutil.iter_modules(physics.__path__):
        whole = importlib.import_module(f"paddlebar.physics.{module.name}")
        for name, thing in vars(whole).items():
            if hasattr(thing, "py_func") and not name.startswith("_") and thing.py_func.__module__ == whole.__name__:
                found[f"{module.name}.{name}"] = thing
    return found


FOUND = compiled_functions()


def through_a_door(function: Any) -> Any:
    """The compiled function for Python; one that has no door is called by one that has."""
    if type(function) is CPUDispatcher:
        return function

    @njit
    def door(*given):  # type: ignore[no-untyped-def]
        return function(*given)

    return door


def test_no_compiled_function_is_left_out() -> None:
    assert {name for name in FOUND if name.split(".")[0] not in WHOLE} == set(DRAWS)


@pytest.mark.parametrize("name", DRAWS)
def test_compiled_is_plain(name: str) -> None:
    """Fifty draws each, what is returned and what is written into an array; what is seen is printed."""
    rng = np.random.default_rng([1, len(name)])
    compiled = through_a_door(FOUND[name])
    worst = 0.0
    for _ in range(50):
        given = DRAWS[name](rng)
        again = tuple(each.copy() if type(each) is np.ndarray else each for each in given)
        fast, plain = flat(compiled(*given)), flat(FOUND[name].py_func(*again))
        for one, other in zip(given, again, strict=True):
            if type(one) is np.ndarray and one is not other and one.size < 100:
                fast, plain = fast + one.ravel().tolist(), plain + other.ravel().tolist()
        assert plain
        size = max(map(abs, plain))
        assert fast == pytest.approx(plain, rel=1e-12, abs=1e-12 * size)
        worst = max(worst, max(abs(a - b) for a, b in zip(fast, plain, strict=True)) / size if size else 0.0)
    print(f"{name}: {worst:.1e}")


def test_python_that_enters_by_no_door_runs_the_source() -> None:
    """Without an entrance a call from Python would take the process down."""
    assert type(cross) is not CPUDispatcher
    assert cross((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)) == (0.0, 0.0, 1.0)
    assert cross((Fraction(1, 3), 0, 0), (0, 1, 0)) == (0, 0, Fraction(1, 3))  # no type that compiled code knows
