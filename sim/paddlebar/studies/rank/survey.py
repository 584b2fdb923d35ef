"""A function of several uncertain numbers, evaluated where slopes and global indices need it, every value kept as soon as it is there.

Rows of the study, so that none ever changes its place and more samples only add to those that are there:

    0                 as built
    1 + 2 k, 2 + 2 k  parameter k at the lower end of its tolerance, at the upper
    1 + 2 d + i (d + 2) + j    base sample i: j = 0 is A_i, j = 1 is B_i, j = 2 + k is A_i with its k-th number from B_i

Source : the design of Saltelli and others, Computer Physics Communications 181 (2010) 259-270 [M], on a scrambled Sobol sequence
    (scipy.stats.qmc.Sobol) of 2 d numbers, whose first n points are the same however many follow.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.studies.axes import Axis
from paddlebar.studies.runner import Worker
from paddlebar.studies.session import Session
from paddlebar.studies.tolerances import drawn

Array = NDArray[np.float64]
Codes = NDArray[np.int64]

MOST_SAMPLES = 2**16
FLYING = "building and flying"


@dataclass(frozen=True, eq=False)
class Survey:
    """Values of s outputs; d parameters, n base samples. Codes are the worker's own.

    built (s), low (d, s), high (d, s) : as built, one parameter at either end
    a (s, n), b (s, n), ab (d, s, n)   : of the global part, see the top of this file
    built_code, low_code (d), high_code (d), sample_codes (2, n) of a and b
    steps (d, 2) : how far the ends are from the own value, below and above;  codes : of all rows, in their order
    """

    built: Array
    low: Array
    high: Array
    a: Array
    b: Array
    ab: Array
    built_code: int
    low_code: Codes
    high_code: Codes
    sample_codes: Codes
    steps: Array
    codes: Codes = field(default_factory=lambda: np.empty(0, dtype=np.int64))


def check_samples(samples: int) -> int:
    """Raises BadInput unless it is 0 (no global part) or a power of two."""
    if samples < 0 or samples == 1 or samples & (samples - 1) or samples > MOST_SAMPLES:
        raise BadInput(f"samples: should be 0 or a power of two from 2 to {MOST_SAMPLES}, found {samples}")
    return samples


def count(parameters: int, samples: int) -> int:
    """Evaluations of a survey."""
    return 1 + 2 * parameters + samples * (parameters + 2)


def rows(parameters: Sequence[Axis], samples: int, seed: int) -> dict[int, list[float]]:
    """Index -> values of the parameters, each in its own unit; evenly spread over its tolerance, whole ones over whole numbers."""
    own = [p.own for p in parameters]
    d = len(own)
    wanted = {0: own}
    for k, p in enumerate(parameters):
        for side, end in enumerate((p.values[0], p.values[-1])):
            wanted[1 + 2 * k + side] = [*own[:k], float(end), *own[k + 1 :]]
    if samples:
        a, b = drawn(parameters, samples, seed)
        for i in range(samples):
            first = 1 + 2 * d + i * (d + 2)
            wanted[first], wanted[first + 1] = a[i].tolist(), b[i].tolist()
            for k in range(d):
                wanted[first + 2 + k] = [*a[i, :k].tolist(), float(b[i, k]), *a[i, k + 1 :].tolist()]
    return wanted


def survey(here: Session, parameters: Sequence[Axis], samples: int, worker: Worker) -> Survey:
    """Evaluate what the study lacks; see runner.complete for worker and what is raised."""
    wanted: Mapping[int, Sequence[float]] = rows(parameters, samples, here.study.seed)
    here.complete(wanted, worker, FLYING)
    data = here.study.arrays()
    there = np.isin(data.index, list(wanted))  # a study that went further before holds more
    out, code = data.outputs[there], data.ending[there]
    d, s = len(parameters), out.shape[1]
    ends, tail = slice(1, 1 + 2 * d), slice(1 + 2 * d, None)
    pair, blocks = out[ends].reshape(d, 2, s), out[tail].reshape(samples, d + 2, s).transpose(1, 2, 0)
    pair_code = code[ends].reshape(d, 2)
    return Survey(
        built=out[0],
        low=pair[:, 0],
        high=pair[:, 1],
        a=blocks[0],
        b=blocks[1],
        ab=blocks[2:],
        built_code=int(code[0]),
        low_code=pair_code[:, 0],
        high_code=pair_code[:, 1],
        sample_codes=code[tail].reshape(samples, d + 2)[:, :2].T,
        steps=np.array([[p.own - p.values[0], p.values[-1] - p.own] for p in parameters]),
        codes=code,
    )
