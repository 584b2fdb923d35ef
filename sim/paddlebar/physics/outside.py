"""The one door through which compiled equations call what was not compiled with them: a function behind an address.

A craft without one has address 0 and never comes here. What stands behind an address (flight/own.py) is compiled when it is given,
and nothing else is compiled anew for it: an address is a number in the parameters.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import numba
from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic
from numba.np.arrayobj import make_array

# Address -> the same in Python, for a process in which numba is switched off.
PLAIN: Final[dict[int, Callable[..., None]]] = {}


def _call_at(
    typing: Any, address: Any, t: Any, y: Any, params: Any, gusts: Any, work: Any, out: Any
) -> tuple[Any, Callable[..., Any]]:
    """Call void(t [s], y, its length, params, gusts, their rows, work, out) at an address; arrays as rhs_into has them, as bare pointers.

    Source : C's calling convention, common practice
    """

    def build(context: Any, builder: Any, signature: Any, given: Any) -> Any:
        where, time, *arrays = given
        made = [
            make_array(kind)(context, builder, array) for kind, array in zip(signature.args[2:], arrays, strict=True)
        ]
        pointer, size = cgutils.voidptr_t, cgutils.intp_t
        y_, params_, gusts_, work_, out_ = (builder.bitcast(array.data, pointer) for array in made)
        length, rows = (cgutils.unpack_tuple(builder, array.shape)[0] for array in (made[0], made[2]))
        kind = ir.FunctionType(
            ir.VoidType(), [ir.DoubleType(), pointer, size, pointer, pointer, size, pointer, pointer]
        )
        function = builder.inttoptr(where, kind.as_pointer())
        builder.call(function, [time, y_, length, params_, gusts_, rows, work_, out_])
        return context.get_dummy_value()

    return types.void(address, types.float64, y, params, gusts, work, out), build


def _plain_call_at(address: int, *given: Any) -> None:
    PLAIN[int(address)](*given)


call_at: Any = _plain_call_at if numba.config.DISABLE_JIT else intrinsic(_call_at)
