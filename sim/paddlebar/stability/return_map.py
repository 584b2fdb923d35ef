"""One revolution of the rotor relative to the body, in the coordinates that a steady motion repeats.

Heading and place are left out: a craft that circles and climbs steadily repeats everything else every revolution. The independent
variable is the rotor's azimuth, so that the map needs no event: dy/dpsi = f / Omega, fixed steps, fourth-order Runge-Kutta. Of a craft
that is its own image after half a turn (half_turn.py) half a revolution is enough.
"""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.flight import layout, rhs
from paddlebar.flight.layout import ROTOR_AZIMUTH, ROTOR_SPEED
from paddlebar.flight.rates import address_of, rates_at
from paddlebar.physics.compiled import outermost, unlocked
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.motor import NONE, STEADY, motor_drive
from paddlebar.stability.coordinates import SCALE, coordinates, tilt_rates
from paddlebar.stability.half_turn import image, is_its_image

Array = NDArray[np.float64]

STEPS = 36  # a revolution; what is left of the error is measured at every verdict, see floquet.py
_FOREVER = 1e6  # turns of the frozen skein


@unlocked
def advance(y, craft, steps, count, scratch):
    """Carry a state over `count` of the `steps` parts of a revolution, in place; time returned [s], -1 if the rotor stopped on the way.

    craft : address of the right-hand side; params, tables, gusts as it takes them;  scratch : its work array, and five of (state_size,)
    """
    rates, params, tables, gusts = craft
    work, k1, k2, k3, k4, z = scratch
    h = 2.0 * math.pi / steps
    n = y.size
    time = 0.0
    start = y[ROTOR_AZIMUTH]
    for s in range(count):
        if not y[ROTOR_SPEED] > 1.0:
            return -1.0
        rates_at(rates, 0.0, y, params, tables, gusts, work, k1)
        a = 1.0 / y[ROTOR_SPEED]
        for i in range(n):
            k1[i] *= a
            z[i] = y[i] + 0.5 * h * k1[i]
        rates_at(rates, 0.0, z, params, tables, gusts, work, k2)
        b = 1.0 / z[ROTOR_SPEED]
        for i in range(n):
            k2[i] *= b
            z[i] = y[i] + 0.5 * h * k2[i]
        rates_at(rates, 0.0, z, params, tables, gusts, work, k3)
        c = 1.0 / z[ROTOR_SPEED]
        for i in range(n):
            k3[i] *= c
            z[i] = y[i] + h * k3[i]
        rates_at(rates, 0.0, z, params, tables, gusts, work, k4)
        d = 1.0 / z[ROTOR_SPEED]
        for i in range(n):
            y[i] += h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + d * k4[i])
        time += h / 6.0 * (a + 2.0 * b + 2.0 * c + d)
        y[ROTOR_AZIMUTH] = start + (s + 1) * h
    return time


@outermost
def unwinding_torques(params, turns, tail_turns):
    """Torque of the main and of the tail's skein while they unwind, set -1 [N m], [N m]; none once run out."""
    p = params[0]
    main = motor_drive(p.skein, turns, -1.0)[0] if turns > 0.0 else 0.0
    return main, motor_drive(p.tail_skein, tail_turns, -1.0)[0] if tail_turns > 0.0 else 0.0


def freeze(numbers: Numbers, turns: float) -> Numbers:
    """The craft in endless still air with the torque of its skein held at what it is with so many turns left, unwinding.

    turns   : left in the main skein [turns]; a tail's own skein is taken as run down by the same share
    Returns : a copy; no wind, no ground effect, hand off the body, no turn is ever used up
    """
    left = numbers.copy()
    p = left.params[0]
    share = turns / p["skein"]["turns"] if p["skein"]["turns"] > 0.0 else 0.0
    main, tail = unwinding_torques(numbers.params, turns, p["tail_skein"]["turns"] * share)
    for motor, torque in ((p["skein"], main), (p["tail_skein"], tail)):
        if motor["kind"] != NONE:
            motor["kind"], motor["turns"], motor["half_loss"], motor["steady"] = STEADY, _FOREVER, 0.0, torque
    p["ground_effect"] = p["base_locked"] = 0
    for name in ("wind_north", "wind_east", "gust_north", "gust_east", "turbulence_rate"):
        p[name] = 0.0
    return left


class ReturnMap:
    """The state after one revolution, or its image after half of one, from the state before, in free coordinates over their scales.

    numbers : frozen parameters, see freeze()
    steps   : of the integrator, a revolution; even
    base    : state that holds what is not free, None for a craft at rest
    parts   : of a revolution after which the craft is its own image, 2 or 1; None: found out when it is needed

    A call takes x (n,) and returns x after one such part (n,); nan if the rotor stopped on the way. `period` is then how long a whole
    revolution takes whose parts are alike [s].
    """

    def __init__(
        self, numbers: Numbers, steps: int = STEPS, base: Array | None = None, parts: int | None = None
    ) -> None:
        self.numbers = numbers
        self.steps = steps
        self._parts = parts
        self.nf = int(numbers.params[0]["flaps"])
        if base is None:
            base = np.zeros(layout.state_size(self.nf))
            base[layout.ATTITUDE] = 1.0
        self.base = base
        self.coordinates = coordinates(numbers)
        self.scale = np.array([SCALE[c.row] for c in self.coordinates])
        self._tilts = sum(c.index < 0 for c in self.coordinates)
        self._index = np.array([c.index for c in self.coordinates[self._tilts :]], dtype=np.intp)
        self._rates = address_of(numbers)
        self._scratch = (rhs.work_array(), *np.empty((5, base.size)))
        self.period = math.nan
        self.calls = 0

    def __reduce__(self) -> tuple[type[ReturnMap], tuple[Numbers, int, Array, int | None]]:
        """For another process, where the right-hand side stands elsewhere."""
        return ReturnMap, (self.numbers, self.steps, self.base, self._parts)

    def with_steps(self, steps: int) -> ReturnMap:
        """The same map by another number of steps."""
        return ReturnMap(self.numbers, steps, self.base, self.parts)

    def rough(self) -> ReturnMap:
        """The same map by half the steps, for what only leads a search to where the full number says.

        A step of Newton's with its Jacobian leaves 0.2 to 2.3 % of the way, of six crafts with and without bar; of one of the twelve, whose
        tail is in its vortex ring, 66 %. Places to begin differ by a hundredth of a scale.
        """
        return self.with_steps(min(STEPS // 2, self.steps))

    @property
    def parts(self) -> int:
        """Parts of a revolution after which the craft is its own image: 2 where half a turn is enough, else 1."""
        if self._parts is None:
            self._parts = 2 if is_its_image(self.numbers) else 1
        return self._parts

    @cached_property
    def _image(self) -> tuple[NDArray[np.intp], Array]:
        """Of free coordinates: where each comes from and its sign."""
        order, sign = image(self.nf)
        where = {int(at): i for i, at in enumerate(self._index)}
        return np.array([where[int(order[at])] for at in self._index], dtype=np.intp), sign[self._index]

    def image(self, values: Array) -> Array:
        """Values of the free coordinates (n, ...) with opposite blades and tips exchanged; as they are where the revolution has one part."""
        if self.parts == 1:
            return values
        order, sign = self._image
        out = values.copy()
        out[self._tilts :] = (values[self._tilts :][order].T * sign).T
        return out

    @property
    def size(self) -> int:
        """Number of free coordinates."""
        return len(self.coordinates)

    def find(self, row: str, part: int = 0) -> int:
        """Number of a coordinate, -1 if it is not free."""
        return next((i for i, c in enumerate(self.coordinates) if c.row == row and c.part == part), -1)

    def full(self, x: Array) -> Array:
        """State vector (state_size,) at azimuth zero and heading zero from free coordinates (n,)."""
        y = self.base.copy()
        values = x * self.scale
        if self._tilts:
            a, b = 0.5 * values[0], 0.5 * values[1]
            y[layout.ATTITUDE : layout.ATTITUDE + 4] = (
                math.cos(a) * math.cos(b), math.sin(a) * math.cos(b), math.cos(a) * math.sin(b), -math.sin(a) * math.sin(b),
            )  # fmt: skip
        y[self._index] = values[self._tilts :]
        p = self.numbers.params[0]
        if p["cord_mode"] == GRIPS:
            y[layout.TAIL_SPEED] = p["cord_ratio"] * y[layout.ROTOR_SPEED]
        y[ROTOR_AZIMUTH] = 0.0
        return y

    def reduced(self, y: Array) -> Array:
        """Free coordinates (n,) of a state vector; roll and pitch are those of gravity's direction in body axes."""
        x = np.empty(self.size)
        if self._tilts:
            w, a, b, c = y[layout.ATTITUDE : layout.ATTITUDE + 4]
            square = w * w + a * a + b * b + c * c
            x[0] = math.atan2(2.0 * (b * c + w * a), w * w - a * a - b * b + c * c)
            x[1] = math.asin(min(1.0, max(-1.0, 2.0 * (w * b - a * c) / square)))
        x[self._tilts :] = y[self._index]
        return np.asarray(x / self.scale)

    def advance(self, y: Array, count: int) -> float:
        """Carry a state over `count` steps, in place; time taken [s], -1 if the rotor stopped on the way."""
        n = self.numbers
        craft = self._rates, n.params, n.tables, n.gusts
        return float(advance(y, craft, self.steps, count, self._scratch))

    def arrived(self, state: Array) -> Array:
        """Free coordinates (n,) at azimuth zero that a flight's state (state_size,) comes to next; its azimuth is rounded to a step; nan if the rotor stops."""
        y = state.copy()
        step = 2.0 * math.pi / self.steps
        passed = round(y[ROTOR_AZIMUTH] / step) % self.steps
        y[ROTOR_AZIMUTH] = passed * step
        done = self.advance(y, self.steps - passed)
        return self.reduced(y) if done >= 0.0 else np.full(self.size, math.nan)

    def rates(self, y: Array) -> Array:
        """Rates (n,) of the free coordinates over their scales at a state [1/s]."""
        n = self.numbers
        work, out, *_ = self._scratch
        rhs.rhs_into(0.0, y, n.params, n.tables, n.gusts, work, out)
        x = np.empty(self.size)
        if self._tilts:
            roll, pitch = (self.reduced(y) * self.scale)[:2]
            x[:2] = tilt_rates(roll, pitch, y[layout.RATE_BODY : layout.RATE_BODY + 3])
        x[self._tilts :] = out[self._index]
        return np.asarray(x / self.scale)

    def __call__(self, x: Array) -> Array:
        self.calls += 1
        y = self.full(x)
        self.period = self.parts * self.advance(y, self.steps // self.parts)
        return self.image(self.reduced(y)) if self.period > 0.0 else np.full_like(x, math.nan)

    def revolution(self, x: Array) -> Array:
        """x (n,) after a whole revolution (n,), however many parts it has."""
        for _ in range(self.parts):
            x = self(x)
        return x

    def residual(self, x: Array) -> Array:
        """By how much a part of a revolution misses its start, (n,) in scales."""
        return self(x) - x

    def slope(self, x: Array, after: Array, step: float = 1e-6) -> Array:
        """Jacobian of the map by one-sided differences, (n, n), over one part: cheap, for the search; margins use floquet.transition."""
        out = np.empty((x.size, x.size))
        for i in range(x.size):
            moved = x.copy()
            moved[i] += step
            out[:, i] = (self(moved) - after) / step
        return out
