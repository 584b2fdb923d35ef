"""Forces and controllers of one's own: a function of time, state and craft, compiled and put behind an address that the equations call."""

from __future__ import annotations

import ctypes
import math
import sys
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import count
from typing import Any, Final, Literal, cast

import numpy as np
from numba import cloudpickle
from numba.core.registry import CPUDispatcher

from paddlebar.craft.parameters import DTYPE
from paddlebar.errors import BadInput
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario
from paddlebar.flight import own_glue, own_loads
from paddlebar.flight.seen import Seen, seen_of
from paddlebar.physics import bodies
from paddlebar.physics.outside import PLAIN

Function = Callable[[float, Seen, Any], Any]
Frame = Literal["fuselage", "earth", "body"]
Actuator = Literal["collective", "cyclic", "bar tilt", "tail pitch", "skein brake"]
Place = tuple[float, float, float]

BODIES: Final = {
    "fuselage": own_loads.FUSELAGE,
    "hub": own_loads.HUB,
    "blade": own_loads.BLADE,
    "bar": own_loads.BAR,
    "tail": own_loads.TAIL,
}
FRAMES: Final = {"fuselage": own_loads.OF_FUSELAGE, "earth": own_loads.OF_EARTH, "body": own_loads.OF_BODY}
ACTUATORS: Final = {
    "collective": 1,
    "cyclic": 2,
    "bar tilt": 2,
    "tail pitch": 1,
    "skein brake": 1,
}  # -> how many numbers


@dataclass(frozen=True)
class Force:
    """A force, and a moment if wanted, on one body of the craft.

    function : f(t, seen, craft) -> (Fx, Fy, Fz) [N], or ((Fx, Fy, Fz), (Mx, My, Mz)) [N], [N m]. t [s]; seen : flight/seen.py; craft :
        the parameters of the equations by name (craft/parameters.py), SI, to be read only. Compiled, so plain arithmetic and `math`;
        what it uses from outside itself is read when it is compiled
    on       : "fuselage", "hub", "blade 1" and so on, "bar", "tail" (the tail rotor)
    frame    : of what it gives: "fuselage" forward-right-down, "earth" north-east-down, "body": that body's own axes, which for hub,
        blade and bar turn with it: out, forward, up
    at       : where it acts, in the body's own axes from datum, hub, hinge of blade or bar, hub of the tail [m]; or "centre" of its mass
    """

    function: Function
    on: str = "fuselage"
    frame: Frame = "fuselage"
    at: Place | Literal["centre"] = (0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        _callable(self.function)
        _one_of("on", self.on.partition(" ")[0], BODIES)
        _one_of("frame", self.frame, FRAMES)
        if self.at != "centre" and not (len(self.at) == 3 and all(map(math.isfinite, self.at))):
            raise BadInput(f'at: three numbers [m], or "centre", found {self.at!r}')

    @property
    def words(self) -> str:
        """For messages."""
        return f"force {_name(self.function)} on the {self.on}"


@dataclass(frozen=True)
class Setting:
    """The setting of one actuator, without mass and without work of its own.

    actuator : what it sets, and what the function gives. "collective": pitch of all blades [rad]; "cyclic": (aft, right) pitch of a blade
        over the tail and on the right, less by as much on the other side [rad]; "bar tilt": (forward, right) tilt of a plane, as the
        body sees it, that the linkage passes on besides the bar's own [rad]; "tail pitch": of the tail rotor [rad]; all of these
        besides what is built in; "skein brake": dry friction on the shaft [N m]
    function : f(t, seen, craft), as of Force
    """

    actuator: Actuator
    function: Function

    def __post_init__(self) -> None:
        _callable(self.function)
        _one_of("actuator", self.actuator, ACTUATORS)

    @property
    def words(self) -> str:
        """For messages."""
        return f"setting {_name(self.function)} of the {self.actuator}"


Part = Force | Setting
Given = Function | Part | Sequence[Function | Part]


def pushed(scenario: Scenario, force: Given | Own | None) -> Scenario:
    """The scenario under forces of one's own; itself where there are none.

    force  : a function (a force on the fuselage at the datum, in its axes), a Force, a Setting, or several of them
    Raises : BadInput for what is none of these
    """
    own = own_of(force)
    return scenario if own is None else scenario.with_force(own)


def own_of(force: Given | Own | None) -> Own | None:
    """What pushed() takes, as one; None for nothing."""
    if force is None or isinstance(force, Own):
        return force
    several = list(force) if isinstance(force, Sequence) else [force]
    parts = tuple(each if isinstance(each, Force | Setting) else Force(each) for each in several)
    return Own(parts) if parts else None


@dataclass(frozen=True)
class Own:
    """All that acts on a craft besides; the address is made on first use in a process, and for equal parts only once."""

    parts: tuple[Part, ...]

    def __reduce__(self) -> tuple[Any, ...]:
        """By value, as other processes cannot look up a function of a notebook or a program's own."""
        return _again, (self._key,)

    @cached_property
    def _key(self) -> bytes:
        homes = {sys.modules.get(str(getattr(each.function, "__module__", None))) for each in self.parts} - {None}
        new = [
            home
            for home in homes
            if home is not None and home.__name__ not in cloudpickle.list_registry_pickle_by_value()
        ]
        for home in new:
            cloudpickle.register_pickle_by_value(home)
        try:
            return cast(bytes, cloudpickle.dumps([(type(each), vars(each)) for each in self.parts]))
        except Exception as error:
            raise BadInput(f"{self.parts[0].words}: cannot be handed to another process: {error}") from error
        finally:
            for home in new:
                cloudpickle.unregister_pickle_by_value(home)

    @cached_property
    def entrance(self) -> Entrance:
        """What the equations call."""
        try:
            key: Any = self._key
        except BadInput:
            key = tuple(id(each.function) for each in self.parts)
        if key not in _ENTRANCES:
            _ENTRANCES[key] = Entrance(self.parts)
        return _ENTRANCES[key]

    def address_on(self, scenario: Scenario) -> int:
        """The address, of a craft that has all the bodies that are named."""
        craft = scenario.craft
        for each in self.parts:
            if isinstance(each, Force):
                kind, _, number = each.on.partition(" ")
                most = craft.rotor.blades if kind == "blade" else 0
                if most and not (number.isdigit() and 1 <= int(number) <= most):
                    raise BadInput(f'on: "blade 1" to "blade {most}", found {each.on!r}')
                if kind != "blade" and number:
                    raise BadInput(f"on: {_listed(BODIES)}, found {each.on!r}")
                if (kind == "bar" and not BARS[craft.bar.kind].present) or (kind == "tail" and craft.tail is None):
                    raise BadInput(f"{each.words}: this craft has none")
            elif each.actuator == "bar tilt" and (not BARS[craft.bar.kind].present or craft.bar.gain == 0.0):
                raise BadInput(f'{each.words}: no linkage passes it on (bar.kind, bar.gain); use "cyclic"')
            elif each.actuator == "tail pitch" and craft.tail is None:
                raise BadInput(f"{each.words}: this craft has no tail rotor")
        return self.entrance.address

    @property
    def words(self) -> list[str]:
        """What acts, for a record of the flight."""
        how = "" if self.entrance.compiled else ", in plain Python"
        return [each.words + how for each in self.parts]

    def complain(self, times: Sequence[float], y: Any, params: Any, gusts: Any) -> None:
        """Raise what a function raised in a flight that failed numerically, or say that it gave what is no number; else do nothing.

        times  : at which to look again [s]: compiled code does not tell what it raised;  y, params, gusts : where the flight ended
        Raises : BadInput, from the error itself
        """
        entrance = self.entrance
        for t in times:
            work = np.zeros((bodies.WORK_ROWS, bodies.WORK_COLUMNS))
            if entrance.error is None:
                entrance.plain(t, y, params.copy(), gusts, work, np.empty_like(y))
            error, entrance.error = entrance.error, None
            if error is not None:
                raise BadInput(f"{entrance.broken}: at {t:g} s: {type(error).__name__}: {error}") from error
            if not np.isfinite(work).all():
                raise BadInput(f"{entrance.parts[0].words}: gives what is no number at {t:g} s")


@dataclass
class Entrance:
    """The functions behind one address, for as long as the process lives.

    address  : of the one entrance, see physics/outside.py
    compiled : whether all of it is machine code
    """

    parts: tuple[Part, ...]
    address: int = 0
    compiled: bool = True
    error: Exception | None = None
    broken: str = ""
    _kept: Any = field(default=None, repr=False)

    def __post_init__(self) -> None:
        if not own_glue.COMPILES:
            self.compiled = False
            self.address = next(_NUMBERS)
            PLAIN[self.address] = self.plain
            return
        try:
            self._kept = own_glue.entrance([(each.function, how_of(each)) for each in self.parts])
            self.address = self._kept.address
        except Exception as error:
            why = next((line for line in str(error).splitlines() if line.strip()), type(error).__name__)
            if any(isinstance(each.function, CPUDispatcher) for each in self.parts):
                raise BadInput(f"{self.parts[0].words}: {why}") from error
            warnings.warn(
                f"{self.parts[0].words} flies slower, as plain Python: it does not compile ({why})", stacklevel=2
            )
            self.compiled = False
            self._kept = own_glue.CALLBACK(self._called)
            self.address = int(ctypes.cast(self._kept, ctypes.c_void_p).value or 0)

    def _called(self, t: float, y: int, n: int, params: int, gusts: int, rows: int, work: int, out: int) -> None:
        self.plain(t, *own_glue.arrays(y, n, params, gusts, rows, work, out))

    def plain(self, t: float, y: Any, params: Any, gusts: Any, work: Any, out: Any) -> None:
        """As the compiled entrance, in Python."""
        craft = params.view(np.recarray)
        craft.flags.writeable = False
        own_loads.begin(y, out)
        seen = seen_of(t, y, params, gusts)
        for each in self.parts:
            kept = own_loads.spoil(work)
            try:
                function: Any = each.function
                got = own_glue.floats(getattr(function, "py_func", function)(t, seen, craft[0]))
                how = how_of(each)
                own_glue.checked(how, got)
            except Exception as error:
                if self.error is None:
                    self.error, self.broken = error, each.words
                return
            own_loads.restore(work, kept)
            own_glue.put(how, got, y, params, work, out)


_ENTRANCES: dict[Any, Entrance] = {}
_NUMBERS = count(1)


def _again(key: bytes) -> Own:
    return Own(tuple(kind(**values) for kind, values in cloudpickle.loads(key)))


def how_of(part: Part) -> own_glue.How:
    """What is done with what a function gives, in numbers that are compiled in."""
    if isinstance(part, Setting):
        return own_glue.How(part.actuator)
    kind, _, number = part.on.partition(" ")
    at = (0.0, 0.0, 0.0) if part.at == "centre" else (float(part.at[0]), float(part.at[1]), float(part.at[2]))
    return own_glue.How("force", BODIES[kind], int(number or 1) - 1, FRAMES[part.frame], at, part.at == "centre")


def _name(function: Any) -> str:
    return str(getattr(function, "__name__", type(function).__name__))


def _callable(function: Any) -> None:
    if not callable(function):
        raise BadInput(
            f"force: a function f(t, seen, craft), a Force, a Setting, or several of them, found {function!r}"
        )


def _listed(names: Any) -> str:
    return " | ".join(f'"{name}"' for name in names)


def _one_of(what: str, value: str, names: Any) -> None:
    if value not in names:
        raise BadInput(f"{what}: {_listed(names)}, found {value!r}")


assert DTYPE.isalignedstruct
