"""Between a user's function and the equations: the entrance that is compiled about it, and the same for a function in plain Python."""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numba
import numpy as np
from numba import carray, cfunc, from_dtype, types
from numba.core.errors import TypingError
from numba.core.registry import CPUDispatcher

from paddlebar.craft.parameters import DTYPE
from paddlebar.flight.own_loads import (
    FUSELAGE,
    OF_FUSELAGE,
    begin,
    put_bar_tilt,
    put_brake,
    put_cyclic,
    put_load,
    put_setting,
    restore,
    spoil,
)
from paddlebar.flight.seen import seen_of
from paddlebar.physics import bodies
from paddlebar.physics.compiled import fresh
from paddlebar.physics.vectors import ZERO

CALLBACK = ctypes.CFUNCTYPE(
    None,
    ctypes.c_double,
    *(ctypes.c_void_p, ctypes.c_ssize_t, ctypes.c_void_p),
    *(ctypes.c_void_p, ctypes.c_ssize_t, ctypes.c_void_p, ctypes.c_void_p),
)
COMPILES = not numba.config.DISABLE_JIT
_ROWS, _COLUMNS = bodies.WORK_ROWS, bodies.WORK_COLUMNS
_COLLECTIVE, _TAIL = bodies.COLLECTIVE, bodies.TAIL_PITCH


class How(NamedTuple):
    """What is done with what a function gives: "force" on a body, see own_loads.put_load, or the actuator's name."""

    what: str
    body: int = FUSELAGE
    number: int = 0
    frame: int = OF_FUSELAGE
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    central: bool = False


def _putter(how: How, pair: bool) -> Callable[..., None]:
    """The function that puts what was given into the equations; pair : a force comes with its moment."""
    # numbers of numpy's: for a bare one numba would compile the function that takes it anew
    what, at = how.what, how.at
    body, number, frame, central = (np.int64(each) for each in (how.body, how.number, how.frame, how.central))
    if what == "force" and pair:
        return lambda got, y, params, work, out: put_load(y, params, work, out, body, number, frame, at, central, got)
    if what == "force":
        return lambda got, y, params, work, out: put_load(
            y, params, work, out, body, number, frame, at, central, (got, ZERO)
        )
    if what == "skein brake":
        return lambda got, y, params, work, out: put_brake(y, params, work, out, got)
    if what == "cyclic":
        return lambda got, y, params, work, out: put_cyclic(work, got)
    if what == "bar tilt":
        return lambda got, y, params, work, out: put_bar_tilt(y, params, work, got)
    column = np.int64(_TAIL if what == "tail pitch" else _COLLECTIVE)
    return lambda got, y, params, work, out: put_setting(work, column, got)


def _wanted(how: How) -> str:
    if how.what == "force":
        return "(Fx, Fy, Fz) [N], or that and (Mx, My, Mz) [N m]"
    pair = {"cyclic": "(aft, right) [rad]", "bar tilt": "(forward, right) [rad]", "skein brake": "a torque [N m]"}
    return pair.get(how.what, "an angle [rad]")


def floats(got: Any) -> Any:
    """What a function in Python gave, in tuples of floats."""
    return tuple(floats(each) for each in got) if isinstance(got, tuple | list | np.ndarray) else float(got)


def _shape(got: Any) -> Any:
    """0 for a number, of a tuple how many it has, (3, 3) for two of three."""
    if not isinstance(got, tuple):
        return 0
    inside = {_shape(each) for each in got}
    return len(got) if inside == {0} else (*(_shape(each) for each in got),)


def checked(how: How, got: Any) -> None:
    """Raise TypeError for what a function in Python gave, if it is not what is wanted."""
    fits = {"force": (3, (3, 3)), "cyclic": (2,), "bar tilt": (2,)}.get(how.what, (0,))
    if _shape(got) not in fits:
        raise TypeError(f"should give {_wanted(how)}, found {got!r}")


def put(how: How, got: Any, y: Any, params: Any, work: Any, out: Any) -> None:
    """Put what a function in Python gave into the equations."""
    _putter(how, _shape(got) == (3, 3))(got, y, params, work, out)


def arrays(y: int, n: int, params: int, gusts: int, rows: int, work: int, out: int) -> tuple[Any, ...]:
    """The arrays behind the addresses that the equations hand over: y, params, gusts, work, out."""

    def at(address: int, *shape: int) -> Any:
        return np.ctypeslib.as_array((ctypes.c_double * int(np.prod(shape))).from_address(address)).reshape(shape)

    record = np.frombuffer((ctypes.c_char * DTYPE.itemsize).from_address(params), DTYPE)  # type: ignore[call-overload]
    return at(y, n), record, at(gusts, rows, 3), at(work, _ROWS, _COLUMNS), at(out, n)


def _link(function: Any, how: How, before: Any) -> Any:
    """One function more: called with what was seen, what it gives put into the equations."""
    function = function if isinstance(function, CPUDispatcher) else fresh(function)
    what_type = _gives(function)
    pair = isinstance(what_type, types.BaseTuple) and len(what_type) == 2 and isinstance(what_type[0], types.BaseTuple)
    into = fresh(_putter(how, pair))
    wanted = _wanted(how)
    _typed(what_type, how, wanted)

    @fresh
    def both(t, seen, y, params, work, out):  # type: ignore[no-untyped-def]
        before(t, seen, y, params, work, out)
        kept = spoil(work)
        try:
            got = function(t, seen, params[0])
            restore(work, kept)
            into(got, y, params, work, out)
        except Exception:
            pass

    return both


def _gives(function: Any) -> Any:
    """Type that a compiled function gives."""
    double = types.float64
    y, rows = types.Array(double, 1, "C"), types.Array(double, 2, "C")
    params = types.Array(from_dtype(DTYPE), 1, "C")
    seen_of.compile((double, y, params, rows))
    seen = seen_of.overloads[double, y, params, rows].signature.return_type
    given = (double, seen, from_dtype(DTYPE))
    function.compile(given)
    return function.overloads[given].signature.return_type


def _typed(kind: Any, how: How, wanted: str) -> None:
    """Raise for a compiled function that gives something else than is wanted."""

    def shape(of: Any) -> Any:
        if isinstance(of, types.BaseTuple):
            inside = [shape(each) for each in of]
            return len(inside) if set(inside) == {0} else (*inside,)
        return 0 if isinstance(of, types.Number) else -1

    fits = {"force": (3, (3, 3)), "cyclic": (2,), "bar tilt": (2,)}.get(how.what, (0,))
    if shape(kind) not in fits:
        raise TypingError(f"should give {wanted}, gives {kind}")


@fresh
def _nothing(t, seen, y, params, work, out):  # type: ignore[no-untyped-def]
    pass


def entrance(several: Sequence[tuple[Any, How]]) -> Any:
    """All functions behind one address; nothing of the program is compiled anew for it.

    several : compiled functions, and what is done with what they give
    Raises  : numba's NumbaError for what does not compile
    """
    chain: Any = _nothing
    for function, how in several:
        chain = _link(function, how, chain)
    double = types.CPointer(types.float64)
    record = types.CPointer(from_dtype(DTYPE))

    @cfunc(types.void(types.float64, double, types.intp, record, double, types.intp, double, double))
    def enter(t, y_, n, params_, gusts_, rows, work_, out_):  # type: ignore[no-untyped-def]
        y = carray(y_, n)
        params = carray(params_, 1)
        work = carray(work_, (_ROWS, _COLUMNS))
        out = carray(out_, n)
        begin(y, out)
        chain(t, seen_of(t, y, params, carray(gusts_, (rows, 3))), y, params, work, out)

    return enter
