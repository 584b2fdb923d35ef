"""A trial: strips of several states at a time in wide registers, against one by one: python -m benchmarks.lanes 20

Same formulas as element_load, each branch a choice between two numbers, structure of arrays, the states innermost.
Prints how many instructions are four numbers wide, the greatest difference, and nanoseconds, least of alternating rounds in 20 seconds.
8 strips are those of one blade of one state, too. With NUMBA_LOOP_VECTORIZE=0 NUMBA_SLP_VECTORIZE=0: the same one number wide.
"""

from __future__ import annotations

import math
import re
import sys
import time
from typing import Any

import numpy as np
from numba import njit

from benchmarks.common import in_flight
from benchmarks.lanes_math import WIDE, atan2_of_libm, column, log_of_libm, wide_atan2, wide_log
from paddlebar.physics.blade import element_load
from paddlebar.physics.section import N_ALPHA, N_RE, OF_BLADE
from paddlebar.physics.stall_delay import FADE_FROM, FADE_TO

ONE_ON, TWO_ON = np.uint64(1), np.uint64(2)


def strips(atan2: Any, log: Any, apart: bool) -> Any:
    """The loads of n strips; apart: angles and logarithms in a loop of their own, which a call to a library stops from being wide."""

    @njit(**WIDE)
    def run(n, flat, zero, pitch, log_chord, half_area, cor, ut, up, angle, logs, normal, forward, couple, met):
        if apart:
            for k in range(n):
                angle[k] = atan2(up[k], ut[k])
                logs[k] = log(ut[k] * ut[k] + up[k] * up[k])
        for k in range(n):
            u, w = ut[k], up[k]
            v2 = u * u + w * w
            blows = not v2 < 1e-8
            v = math.sqrt(v2)
            alpha = pitch[k] + (angle[k] if apart else atan2(w, u))
            alpha = alpha - 2.0 * math.pi if alpha > math.pi else (alpha + 2.0 * math.pi if alpha < -math.pi else alpha)
            x = (0.5 * (logs[k] if apart else log(v2)) + log_chord[k] - math.log(2000.0)) * (2.0 / math.log(2.0))
            x = x if x > 0.0 else 0.0
            x = x if x < N_RE - 1.000001 else N_RE - 1.000001
            a = alpha * (180.0 / math.pi) + 181.0
            a = a if a > 1.0 else 1.0
            a = a if a < N_ALPHA - 2.000001 else N_ALPHA - 2.000001
            j, i = np.int32(x), np.int32(a)  # there is no wide conversion to 64 bits
            g, f = x - j, a - i
            weights = (
                f * (-0.5 + f * (1.0 - 0.5 * f)),
                1.0 + f * f * (-2.5 + 1.5 * f),
                f * (0.5 + f * (2.0 - 1.5 * f)),
                f * f * (-0.5 + 0.5 * f),
            )
            h = 1.0 - g
            q = np.uint64((j * np.int32(N_ALPHA) + i - np.int32(1)) * np.int32(3))
            o = q + np.uint64(3 * N_ALPHA)
            cl = h * column(flat, q, weights) + g * column(flat, o, weights)
            cd = h * column(flat, q + ONE_ON, weights) + g * column(flat, o + ONE_ON, weights)
            cm = h * column(flat, q + TWO_ON, weights) + g * column(flat, o + TWO_ON, weights)
            d = 3.0 * cor[k] * cor[k]  # stall_delay
            d = d if d < 1.0 else 1.0
            fade = (FADE_TO - abs(alpha)) * (1.0 / (FADE_TO - FADE_FROM))
            fade = fade if fade > 0.0 else 0.0
            fade = fade if fade < 1.0 else 1.0
            potential = 2.0 * math.pi * (alpha - zero)
            rest = potential - (cl if cl * potential > 0.0 else 0.0)
            cl += d * fade * fade * (3.0 - 2.0 * fade) * (rest if rest * potential > 0.0 else 0.0)
            lift = half_area[k] * v
            normal[k] = lift * (cl * u + cd * w) if blows else 0.0
            forward[k] = lift * (cl * w - cd * u) if blows else 0.0
            couple[k] = lift * v * cm if blows else 0.0
            met[k] = v if blows else 0.0

    return run


@njit(error_model="numpy")
def one_by_one(n, tables, zero, pitch, log_chord, half_area, cor, ut, up, angle, logs, normal, forward, couple, met):
    for k in range(n):
        strip = (pitch[k], log_chord[k], half_area[k], cor[k])
        normal[k], forward[k], couple[k], met[k] = element_load(tables, (OF_BLADE, zero, 1.0), strip, ut[k], up[k])


def repeated(run: Any, given: tuple[Any, ...], times: int) -> Any:
    """The function in a compiled loop, compiled; prints what is wide in it."""
    run(*given)
    code = next(iter(run.inspect_asm().values()))
    print({name: len(re.findall(rf"{name}\s.*ymm", code)) for name in ("vsqrtpd", "vdivpd", "vmulpd", "vgatherqpd")})

    @njit(error_model="numpy")
    def loop(count, given):
        for _ in range(count):
            run(*given)

    loop(1, given)
    return lambda: loop(times, given)


def alternate(runs: dict[str, tuple[Any, int]], seconds: float) -> None:
    """Print the least time of each, a piece; each run does so many pieces."""
    best = dict.fromkeys(runs, math.inf)
    began = time.perf_counter()
    while time.perf_counter() - began < seconds:
        for name, (run, count) in runs.items():
            start = time.perf_counter()
            run()
            best[name] = min(best[name], (time.perf_counter() - start) / count)
    for name, least in best.items():
        print(f"{name:40} {1e9 * least:7.1f} ns")


def main(seconds: float) -> None:
    numbers, _ = in_flight()
    p = numbers.params[0]
    rng = np.random.default_rng(1)
    k = np.arange(64) % 8
    scatter = rng.standard_normal((3, 64))
    flow = [p["el_x"][k] * 45.6 + 0.5 * scatter[1], -1.2 + 0.3 * scatter[2]]
    blade = [
        p["el_pitch"][k] + 0.02 * scatter[0],
        *(p[name][k] for name in ("el_log_chord", "el_half_area", "el_chord_over_r")),
    ]
    flat, zero = numbers.tables.ravel(), float(p["rotor_alpha_zero"])
    ways = {
        "one by one": (one_by_one, numbers.tables),
        "lanes, atan2 and log of libm": (strips(atan2_of_libm, log_of_libm, True), flat),
        "lanes, polynomials": (strips(wide_atan2, wide_log, False), flat),
    }
    print("wide instructions")
    runs: dict[str, tuple[Any, int]] = {}
    found: dict[str, Any] = {}
    wild = [blade[0] + rng.uniform(-3.0, 3.0, 64), *blade[1:], rng.uniform(-5.0, 5.0, 64), rng.uniform(-5.0, 5.0, 64)]
    for name, (run, tables) in ways.items():
        out = [np.zeros(64) for _ in range(6)]
        run(64, tables, zero, *wild, *out)
        found[name] = np.array(out[2:])
        for n in (4, 8, 32, 64):
            runs[f"{n} strips {name}"] = repeated(run, (n, tables, zero, *blade, *flow, *out), 2048 // n), 2048
    print("differences", {name: np.abs(each - found["one by one"]).max() for name, each in found.items()})
    alternate(runs, seconds)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 10.0)
