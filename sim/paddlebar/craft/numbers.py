"""The numbers that the equations take, and how they are put into their record."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.blades import Elements

Array = NDArray[np.float64]

STOP_RATE = 1.3e5  # [1/s^2 rad^-0.5] stiffness of a stop over the inertia that hits it: soft plastic, gives a degree or two; own choice
STOP_DAMPING = 0.1  # [s/rad] own choice: a bounce at 5 rad/s keeps three quarters of its speed


@dataclass
class Numbers:
    """Everything that the equations need.

    params : (1,) record, see craft/parameters.py;  tables : (3, N_RE, N_ALPHA, 3) sections of blade, paddle, tail;
    gusts  : (n, 3) turbulence [m/s]
    """

    params: NDArray[np.void]
    tables: Array
    gusts: Array

    @property
    def pushed(self) -> bool:
        """Whether a force of one's own acts on it; its work is then one state more."""
        return bool(self.params[0]["own_force"] != 0)

    def copy(self) -> Numbers:
        """The same numbers with parameters that can be changed apart."""
        return Numbers(self.params.copy(), self.tables, self.gusts)


def fill(params: NDArray[np.void], **values: object) -> None:
    for name, value in values.items():
        field = params[name]
        if field.ndim == 1:
            field[0] = value
        else:
            entries = np.asarray(value)
            field[0][tuple(slice(0, n) for n in entries.shape)] = entries


def fill_elements(params: NDArray[np.void], prefix: str, e: Elements, rho: float, nu: float, delay: bool) -> None:
    fill(
        params,
        **{
            f"{prefix}_x": e.x,
            f"{prefix}_pitch": e.pitch,
            f"{prefix}_log_chord": np.log(e.chord / nu),
            f"{prefix}_half_area": 0.5 * rho * e.chord * e.dr,
            f"{prefix}_chord_over_r": e.chord / e.x if delay else np.zeros_like(e.x),
            f"{prefix}_shape": np.ones_like(e.x),
        },
    )


def all_up_mass(params: NDArray[np.void]) -> float:
    """Mass of the whole craft [kg]."""
    p = params[0]
    return float(p["body_mass"] + p["hub_mass"] + p["blades"] * p["blade_mass"] + p["bar_mass"] + p["tail_mass"])
