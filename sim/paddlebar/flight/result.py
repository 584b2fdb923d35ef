"""What a flight leaves behind: plain arrays, no solver, no file, no picture."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.flight.judgement import Fault

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Event:
    """Something that happened at one moment.

    name     : short code, such as "run down"
    time     : [s] from the launch
    sentence : the same for a reader
    """

    name: str
    time: float
    sentence: str


@dataclass(frozen=True, kw_only=True, eq=False)
class FlightData:
    """States, loads and energies against time; ``n`` samples at the solver's own steps, both ends included.

    Units, frames and long names of every array stand in ``flight/layout.py`` (LAYOUT and DERIVED); SI throughout.
    Shapes are given beside the names; ``nf`` flap hinges, ``nb`` blades.
    """

    time: Array  # (n) s, increasing but not even
    position: Array  # (n, 3) m, earth north-east-down, the builder's datum
    attitude: Array  # (n, 4) unit quaternion body to earth, scalar first
    velocity_body: Array  # (n, 3) m/s
    rate_body: Array  # (n, 3) rad/s
    rotor_azimuth: Array  # (n) rad, relative to the body
    rotor_speed: Array  # (n) rad/s, relative to the body, positive in the sense of rotation
    bar_angle: Array  # (n) rad
    bar_rate: Array  # (n) rad/s
    tail_angle: Array  # (n) rad
    tail_speed: Array  # (n) rad/s
    flap: Array  # (n, nf) rad
    flap_rate: Array  # (n, nf) rad/s
    inflow: Array  # (n, 3) m/s: uniform, forward slope, right slope
    tail_inflow: Array  # (n) m/s
    skein_set: Array  # (n) hysteresis state of the skein
    tail_skein_set: Array  # (n) ... of the tail skein

    height: Array  # (n) m, centre of gravity above the floor
    tilt: Array  # (n) rad
    heading: Array  # (n) rad, unwrapped, nose to the right positive
    position_cg: Array  # (n, 3) m
    feathering: Array  # (n, nb) rad
    skein_torque: Array  # (n) N m
    turns_left: Array  # (n) turns
    skein_pull: Array  # (n) N
    rotor_thrust: Array  # (n) N
    rotor_torque: Array  # (n) N m
    tail_thrust: Array  # (n) N
    tail_torque: Array  # (n) N m
    lowest_point: Array  # (n) m

    ledger: dict[str, Array]  # (n) J, cumulative; "skein" = the sum of all others, "residual" among them
    events: list[Event]
    outcome: str
    sentence: str
    complete: bool  # False when the solver gave up: the arrays then hold what was flown
    summary: dict[str, Any]
    solver: dict[str, Any]

    @property
    def spin(self) -> Array:
        """Angular velocity of the fuselage about the vertical over the ground, nose to the right positive, (n) rad/s.

        Third (down) earth component of the body rate, from the last row of the rotation matrix of the quaternion.
        """
        w, x, y, z = self.attitude.T
        square = w * w + x * x + y * y + z * z  # one, but for the integrator's error
        down = np.stack([2.0 * (x * z - w * y), 2.0 * (y * z + w * x), w * w - x * x - y * y + z * z]) / square
        return np.asarray((down * self.rate_body.T).sum(axis=0), dtype=np.float64)

    @property
    def controlled_s(self) -> float:
        """Time from letting go during which the craft was in control [s], see flight/judgement.py; nan in a record that does not say."""
        found = self.summary.get("controlled_s")
        return float(found) if isinstance(found, int | float) else float("nan")

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What went wrong, what matters first."""
        return tuple(Fault(**each) for each in self.summary.get("faults", ()))

    @property
    def flew_well(self) -> bool:
        """No fault that matters."""
        return self.summary.get("flew_well") is True

    @property
    def turns_unwound(self) -> Array:
        """Turns that the skein has let out, that is turns of the shaft relative to the body, (n) turns."""
        return np.asarray(self.turns_left[0] - self.turns_left, dtype=np.float64)

    @property
    def energy_error(self) -> float:
        """Largest residual of the ledger over the energy let out by the end [1]; nan when none was let out."""
        let_out = float(np.max(np.abs(self.ledger["skein"])))
        return float(np.max(np.abs(self.ledger["residual"]))) / let_out if let_out > 0.0 else float("nan")


@dataclass(frozen=True, kw_only=True, eq=False)
class Flight(FlightData):
    """A flight that was just flown, with the scenario that it came from."""

    scenario: Scenario

    @property
    def scenario_toml(self) -> str:
        """The scenario file as written."""
        return self.scenario.source_text

    @property
    def craft_toml(self) -> str:
        """The craft file as written."""
        return self.scenario.craft_text

    @cached_property  # written by tomlkit, 20 ms, and every picture asks
    def effective_toml(self) -> str:
        """What was flown, defaults filled in."""
        return self.scenario.effective_toml()

    @property
    def seed(self) -> int:
        """Seed of the turbulence."""
        return self.scenario.air.seed
