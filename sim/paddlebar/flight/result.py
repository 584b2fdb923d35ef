"""What a flight leaves behind: plain arrays, no solver, no picture; and what may be asked of them."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from paddlebar.errors import BadInput
from paddlebar.flight import labelled, moments, planes, shown
from paddlebar.flight.figures import ledger_gap
from paddlebar.flight.judgement import Fault

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

    from paddlebar.files.scenario import Scenario

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Event:
    """Something that happened at one moment.

    name     : short code, such as "run down"
    time_s   : [s] from the launch
    sentence : the same for a reader
    """

    name: str
    time_s: float
    sentence: str


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
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

    if TYPE_CHECKING:  # of whoever holds the arrays: a flight just flown, or one that was read

        @property
        def scenario(self) -> Scenario:
            """What was flown."""

        @property
        def scenario_toml(self) -> str:
            """The scenario file as written."""

        @property
        def craft_toml(self) -> str:
            """The craft file as written."""

        @property
        def effective_toml(self) -> str:
            """What was flown, defaults filled in."""

        @property
        def seed(self) -> int:
            """Seed of the turbulence."""

    @property
    def spin(self) -> Array:
        """Angular velocity of the fuselage about the vertical over the ground, nose to the right positive, (n) rad/s.

        Third (down) earth component of the body rate, from the last row of the rotation matrix of the quaternion.
        """
        w, x, y, z = self.attitude.T
        square = w * w + x * x + y * y + z * z  # one, but for the integrator's error
        down = np.stack([2.0 * (x * z - w * y), 2.0 * (y * z + w * x), w * w - x * x - y * y + z * z]) / square
        return np.asarray((down * self.rate_body.T).sum(axis=0), dtype=np.float64)

    def mean_spin(self, start: float | None = None, stop: float | None = None) -> float:
        """Mean spin of the body over the ground, nose to the right positive [rad/s]: heading gained over time.

        start   : from here on [s]; None: from letting go
        stop    : up to here [s]; None: to the end
        Raises  : BadInput unless start lies before stop, both within the flight
        """
        first, last = float(self.time[0]), float(self.time[-1])
        start = self.released_s if start is None else float(start)
        stop = last if stop is None else float(stop)
        if not first <= start < stop <= last:
            raise BadInput(
                f"start, stop: should rise within the flight, {first:g} to {last:g} s, found {start:g}, {stop:g}"
            )
        begins, ends = np.interp((start, stop), self.time, self.heading)
        return float(ends - begins) / (stop - start)

    @property
    def released_s(self) -> float:
        """When the craft was let go [s]; the start of a free launch, and of one that was never let go."""
        return next((event.time_s for event in self.events if event.name == "release"), float(self.time[0]))

    @property
    def lean(self) -> Array:
        """How far the body's top leans to the north and to the east, (n, 2) rad; both together make ``tilt``."""
        return planes.lean_of(planes.body_up(self))

    @cached_property
    def disc_plane(self) -> Array:
        """How far the plane that the blade tips sweep leans to the north and to the east, (n, 2) rad; the hub's where it hardly turns."""
        return planes.lean_of(planes.disc_normal(self, self.scenario.craft))

    @cached_property
    def bar_plane(self) -> Array:
        """How far the plane that the bar sweeps leans to the north and to the east, (n, 2) rad; nan without a bar."""
        normal = planes.bar_normal(self, self.scenario.craft)
        return np.full((self.time.size, 2), np.nan) if normal is None else planes.lean_of(normal)

    def at(self, time: ArrayLike) -> dict[str, Any]:
        """Every state and load at any time between the samples.

        time    : [s], within the flight, a number or an array of any shape
        Returns : name -> value of each quantity, SI as everywhere; a number for one time and a plain quantity, else an array of the shape
            of `time` and then of the quantity. Cubics where the rate was recorded too, straight lines elsewhere
        Raises  : BadInput for a time outside the flight
        """
        return moments.at(self, time)

    def to_xarray(self) -> xr.Dataset:
        """All quantities with dimensions, units and words, as the run file has them; the ledger (time, entry), the events (event).

        Returns : Dataset whose attributes say what was flown; ``to_netcdf`` writes it
        Raises  : ImportError without xarray, of the extra ``data``
        """
        return labelled.to_xarray(self)

    def to_pandas(self) -> pd.DataFrame:
        """All quantities as columns, a row a sample [SI]; several numbers of one quantity as ``position_x``, ``flap_1``.

        Returns : DataFrame against time [s]; ``attrs["units"]`` has the unit of each column. The ledger: ``pandas.DataFrame(flight.ledger)``
        Raises  : ImportError without pandas, of the extra ``data``
        """
        return labelled.to_pandas(self)

    def save(self, path: str | os.PathLike[str]) -> Path:
        """Write a run file, whole or not at all; ``read_run`` reads it, ``fly`` flies it again.

        path    : file, usually named .h5
        Returns : the path
        Raises  : OSError from the disk
        """
        from paddlebar.record.write import write_run  # noqa: PLC0415  the one arrow upward, see pyproject.toml

        write_run(path, [self])
        return Path(path)

    def __repr__(self) -> str:
        return shown.line(self)

    def _repr_html_(self) -> str:
        return shown.html(self)

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
        """Largest residual of the ledger over the energy let out by the end [1]; nan when next to none was let out."""
        return ledger_gap(*(float(np.max(np.abs(self.ledger[name]))) for name in ("residual", "skein")))


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
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
