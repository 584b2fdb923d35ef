"""What the aerodynamic checks share: plain craft, straight section tables, and the right-hand side with its motion prescribed.

Nothing here computes a load. A prescribed motion is had by holding coordinates: the solver of the equations gives a held one no
acceleration, so a body rate or a forward speed that is put into the state stays there.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit
from scipy.integrate import solve_ivp

from evidence import judge
from paddlebar.craft.build import Numbers, build
from paddlebar.files.craft import Craft
from paddlebar.files.load import parse_craft
from paddlebar.files.scenario import Air, Launch, Room, Run, Scenario, Winding
from paddlebar.flight import layout
from paddlebar.flight.rhs import bodies, rhs_into, work_array
from paddlebar.physics.motor import NONE
from paddlebar.physics.section import ALPHA_FIRST_DEG, N_ALPHA, N_RE

SHAFT, BAR, FLAP = bodies.SHAFT, bodies.BAR, bodies.FLAP

PLAIN: dict[str, Any] = {
    "name": "rig",
    "part": [{"name": "block", "kind": "point", "at_mm": [0, 0, -20], "mass_g": 5.0, "touches": False}],
    "shaft": {"hub_mm": [0, 0, 0], "hub_mass_g": 0.0, "hub_diameter_mm": 1.0, "friction_mN_m": 0.0},
    "rotor": {
        "blades": 2, "radius_mm": 200, "root_mm": 0, "chord_mm": 20, "collective_deg": 0, "blade_mass_g": 1.0, "thickness_mm": 0,
        "section": "flat plate",
    },
    "head": {"kind": "rigid", "stop_deg": 85},
    "bar": {"kind": "none"},
    "skein": {"mass_g": 0.5, "length_mm": 100, "hooks_mm": [[0, 0, -20], [0, 0, -40]]},
}  # fmt: skip


def craft(**tables: Any) -> Craft:
    """PLAIN with keys of its tables replaced, as rotor={"chord_mm": 30}; a list of parts replaces the list."""
    whole = dict(PLAIN)
    for name, table in tables.items():
        whole[name] = {**PLAIN.get(name, {}), **table} if isinstance(table, dict) else table
    return parse_craft(tomlkit.dumps(whole))


def straight_section(folder: Path, slope: float, drag: float | Callable[[int], float], name: str = "straight") -> str:
    """Path of a user's polar, cl = slope alpha and cd = drag up to 40 deg, moment nil; slope [1/rad]; drag may be of the angle [deg]."""
    cd = drag if callable(drag) else lambda _: drag
    rows = [f"{a},{slope * math.radians(a)!r},{cd(a)!r},0" for a in range(-40, 41)]
    path = folder / f"{name}.csv"
    path.write_text("\n".join(["alpha_deg,cl,cd,cm", *rows]) + "\n", encoding="utf-8")
    return str(path)


def straight_tables(slope: float, drag: float = 0.0) -> np.ndarray:
    """Section tables (3, N_RE, N_ALPHA, 3) of cl = slope alpha, cd = drag at every angle; slope [1/rad]."""
    tables = np.zeros((3, N_RE, N_ALPHA, 3))
    tables[..., 0] = slope * np.radians(ALPHA_FIRST_DEG + np.arange(N_ALPHA))
    tables[..., 1] = drag
    return tables


class Rig:
    """A craft in the equations of flight, of which parts are held.

    Skein off, no airframe in the air, no ground effect; base held unless `free`, shaft at its speed unless `shaft_free`. With
    `slope` the sections are straight lines. Inflow frozen and uniform, no stall delay.
    """

    def __init__(
        self, craft: Craft, *, slope: float | None = None, drag: float = 0.0, inflow: str = "frozen", rho: float = 1.225,
        gravity: float = 0.0, elements: int = 20, radial: str = "uniform",
    ) -> None:  # fmt: skip
        run = Run(blade_elements=elements, inflow=inflow, radial_inflow=radial, stall_delay=False)
        scenario = Scenario(
            craft=craft, skein=Winding(turns=0.0), launch=Launch(height_m=500.0), air=Air(density_kg_m3=rho),
            room=Room(ground_effect=False), run=run,
        )  # fmt: skip
        self.numbers: Numbers = build(scenario)
        if slope is not None:
            self.numbers.tables = straight_tables(slope, drag)
        self.p = self.numbers.params.view(np.recarray)[0]
        self.p.skein.kind = NONE
        self.p.stations = 0
        self.p.base_locked = 1
        self.p.gravity = gravity
        self.p.locked[SHAFT] = 1
        self.nf = int(self.p.flaps)
        self.work = work_array()
        self.at = layout.slices(self.nf)

    def vacuum(self) -> None:
        """Take the air away."""
        for name in ("el_half_area", "el_damping", "paddle_half_area", "bar_half_drag", "tail_half_area"):
            self.p[name][...] = 0.0

    def still(self, speed: float) -> np.ndarray:
        """State upright at rest, 500 m up, rotor at a speed [rad/s]."""
        y = np.zeros(layout.state_size(self.nf))
        y[layout.POSITION + 2] = -500.0
        y[layout.ATTITUDE] = 1.0
        y[layout.ROTOR_SPEED] = speed
        return y

    def rates(self, t: float, y: np.ndarray) -> np.ndarray:
        """dy/dt of the equations of flight."""
        out = np.empty_like(y)
        rhs_into(t, y, self.numbers.params, self.numbers.tables, self.numbers.gusts, self.work, out)
        return out

    def load(self, column: int) -> float:
        """One load of the last call of `rates` (a column of the diagnostic row of flight/rhs.py)."""
        return float(self.work[bodies.DIAGNOSTIC, column])

    def run(
        self, y: np.ndarray, span: float, times: np.ndarray | None = None, prescribe: Callable[[float, np.ndarray], None] | None = None,
        rtol: float = 1e-9,
    ) -> Any:  # fmt: skip
        """Integrate over `span` [s]; `prescribe(t, y)` may write into a copy of the state before each call."""

        def f(t: float, y: np.ndarray) -> np.ndarray:
            if prescribe is not None:
                y = y.copy()
                prescribe(t, y)
            return self.rates(t, y)

        found = solve_ivp(f, (0.0, span), y, method="DOP853", rtol=rtol, atol=1e-11, t_eval=times)
        assert found.success, found.message
        return found

    def jacobian(self, y: np.ndarray, rows: list[int], step: float = 1e-5) -> np.ndarray:
        """d(rates)/d(state) of some rows by central differences, (n, n)."""
        found = np.empty((len(rows), len(rows)))
        for k, row in enumerate(rows):
            more, less = y.copy(), y.copy()
            more[row] += step
            less[row] -= step
            found[:, k] = (self.rates(0.0, more)[rows] - self.rates(0.0, less)[rows]) / (2.0 * step)
        return found

    def flapping(
        self, y: np.ndarray, turns: float = 12.0, prescribe: Callable[[float, np.ndarray], None] | None = None
    ) -> tuple[float, float, float]:
        """(b0, b1c, b1s) of blade 1 [rad] over the last of some turns: beta = b0 + b1c cos psi + b1s sin psi.

        Azimuth psi from over the tail in the direction of rotation, as everywhere.
        """
        period = 2.0 * math.pi / y[layout.ROTOR_SPEED]
        times = np.linspace((turns - 1.0) * period, turns * period, 73)[1:]
        found = self.run(y, turns * period, times, prescribe)
        psi, beta = found.y[layout.ROTOR_AZIMUTH], found.y[layout.FLAP]
        return float(beta.mean()), float(2.0 * np.mean(beta * np.cos(psi))), float(2.0 * np.mean(beta * np.sin(psi)))


def within(claim: str, got: float, published: float, share: float, of: float | None = None) -> None:
    """Two-sided comparison, |got - published| <= share * |of| (of: published by default); prints what it saw (pytest -rP).

    What is not for the table of evidence: sums of the test's own, the program against itself."""
    error, _, _, met = judge(got, published, share, of, None)
    said = f"{claim}: published {published:.6g}, computed {got:.6g}, error {100.0 * error:+.2f} % (allowed {100.0 * share:g} %)"
    print(said)
    assert met, said
