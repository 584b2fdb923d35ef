"""A trial: functions that LLVM makes four numbers wide, and how to let it; see lanes.py."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from llvmlite import ir
from numba import float64, int64, njit
from numba.core.compiler import CompilerBase, DefaultPassBuilder
from numba.extending import intrinsic

# coefficients of Cephes (atan) and fdlibm (log), from memory
P0, P1, P2, P3, P4 = -0.8750608600031904, -16.15753718733365, -75.00855792314705, -122.8866684490136, -64.85021904942025
Q0, Q1, Q2, Q3, Q4 = 24.858464901423063, 165.02700983169886, 432.88106049129027, 485.3903996359137, 194.5506571482614
L0, L1, L2, L3 = 0.14798198605116586, 0.15313837699209373, 0.1818357216161805, 0.2222219843214979
L4, L5, L6 = 0.2857142874366239, 0.3999999999940942, 0.6666666666666735
ROOT_HALF, ONE = 0x3FE6A09E667F3BCD, 0x3FF0000000000000


class _NoAlias(CompilerBase):  # type: ignore[misc]
    """Tell LLVM that no two arrays overlap, or it asks for each pair at run time, and gives up."""

    def define_pipelines(self) -> list[Any]:
        self.state.flags.noalias = True
        return [DefaultPassBuilder.define_nopython_pipeline(self.state)]


WIDE: dict[str, Any] = {"error_model": "numpy", "pipeline_class": _NoAlias}


@intrinsic
def bits(_typing, _x):
    return int64(float64), lambda _c, b, _s, a: b.bitcast(a[0], ir.IntType(64))


@intrinsic
def number(_typing, _i):
    return float64(int64), lambda _c, b, _s, a: b.bitcast(a[0], ir.DoubleType())


@njit(**WIDE)
def wide_log(x):  # of normal positive numbers
    e = np.int64((np.uint64(bits(x)) + np.uint64(ONE - ROOT_HALF)) >> np.uint64(52))
    f = number(bits(x) - ((e - 1023) << 52)) - 1.0
    k = number(e | 0x4330000000000000) - (4503599627370496.0 + 1023.0)
    s = f / (2.0 + f)
    z = s * s
    r = z * (L6 + z * (L5 + z * (L4 + z * (L3 + z * (L2 + z * (L1 + z * L0))))))
    half = 0.5 * f * f
    return k * 0.6931471803691238 - ((half - (s * (half + r) + k * 1.9082149292705877e-10)) - f)


@njit(**WIDE)
def wide_atan2(y, x):
    a, b = abs(y), abs(x)
    big, small = (a, b) if a > b else (b, a)
    far = small > 0.41421356237309503 * big
    t = (small - big if far else small) / (small + big if far else big)
    z = t * t
    above = z * ((((P0 * z + P1) * z + P2) * z + P3) * z + P4)
    r = t + t * (above / (((((z + Q0) * z + Q1) * z + Q2) * z + Q3) * z + Q4))
    r = r + 0.7853981633974483 if far else r
    r = 1.5707963267948966 - r if a > b else r
    r = math.pi - r if x < 0.0 else r
    return math.copysign(r, y)


@njit
def atan2_of_libm(y, x):
    return math.atan2(y, x)


@njit
def log_of_libm(x):
    return math.log(x)


@njit(**WIDE)
def column(flat, q, weights):
    w0, w1, w2, w3 = weights
    return w0 * flat[q] + w1 * flat[q + np.uint64(3)] + w2 * flat[q + np.uint64(6)] + w3 * flat[q + np.uint64(9)]
