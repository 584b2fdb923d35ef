"""The right-hand side behind its address, for compiled loops around it.

A compiled function holds whatever it calls once more, and the compiler goes through all of it again. The right-hand side is by far the
largest, so the loops that step with it are given the place where it stands, a number, in place of its code.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba
import numpy as np
from numba import types
from numba.core import cgutils
from numba.extending import lower_builtin, type_callable

from paddlebar.craft.build import Numbers
from paddlebar.flight import rhs


def rates_at(address: int, t: Any, y: Any, params: Any, tables: Any, gusts: Any, work: Any, out: Any) -> None:
    """rhs.rhs_into at its address; from Python, and where numba is switched off, rhs_into itself."""
    rhs.rhs_into(t, y, params, tables, gusts, work, out)


@type_callable(rates_at)
def _type_rates_at(context: Any) -> Callable[..., Any]:
    def given(address: Any, t: Any, y: Any, params: Any, tables: Any, gusts: Any, work: Any, out: Any) -> Any:
        plain = all(getattr(kind, "layout", None) == "C" for kind in (y, params, tables, gusts, work, out))
        if isinstance(address, types.Integer) and plain and t == y.dtype == out.dtype == types.float64:
            return types.none
        return None  # no such function: numba says where

    return given


@lower_builtin(rates_at, types.Integer, types.Float, *[types.Array] * 6)
def _lower_rates_at(context: Any, builder: Any, signature: Any, given: Any) -> Any:
    """A call by numba's own convention: what rhs_into returns is a status, and a failure is passed on."""
    address, *values = given
    _, *kinds = signature.args
    convention = context.call_conv
    kind = convention.get_function_type(types.none, kinds)
    function = builder.inttoptr(address, kind.as_pointer())
    status, _ = convention.call_function(builder, function, types.none, kinds, values)
    with cgutils.if_unlikely(builder, status.is_error):
        convention.return_status_propagate(builder, status)
    return context.get_dummy_value()


def address_of(numbers: Numbers) -> int:
    """Where rhs_into stands; it is compiled, or read from the disk, if it was not yet.

    Every craft's arrays have the same types, so whatever it was compiled for serves them all. To ask numba for their types costs
    milliseconds, and a flight asks a dozen times.
    """
    if numba.config.DISABLE_JIT:
        return 0
    if not rhs.rhs_into.overloads:
        state = np.empty(0)
        given = 0.0, state, numbers.params, numbers.tables, numbers.gusts, rhs.work_array(), state
        rhs.rhs_into.compile(tuple(numba.typeof(each) for each in given))
    made = next(iter(rhs.rhs_into.overloads.values()))
    return int(made.library.get_pointer_to_function(made.fndesc.llvm_func_name))
