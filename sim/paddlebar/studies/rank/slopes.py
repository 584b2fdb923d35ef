"""Local slopes from a survey, and where there is none because the response has a corner or a step."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.studies.rank.survey import Survey

Array = NDArray[np.float64]

ROUGH: Final = 0.5  # one-sided slopes that differ by more than this share of the larger make no slope; own choice
FELT: Final = (
    0.05  # of the largest change of an output by any parameter: a bend smaller than that is not looked at; own choice
)


@dataclass(frozen=True, eq=False)
class Slopes:
    """For d parameters and s outputs, (d, s), unit of the output over the unit of the parameter.

    slope  : central difference over the tolerance; nan where the response is not smooth or an end has no value
    below, above : one-sided, from the lower end to the own value, from there to the upper
    smooth : bool
    """

    slope: Array
    below: Array
    above: Array
    smooth: NDArray[np.bool_]


def slopes(found: Survey) -> Slopes:
    """Central differences with the tolerance as step, checked against the one-sided ones.

    Source : not smooth where the one-sided slopes differ by more than ROUGH of the larger and the bend, |f(+) - 2 f(0) + f(-)|, is more
        than FELT of the largest change that any parameter makes; or where the flight ends otherwise at one end than as built. Own choice
    """
    down, up = found.built - found.low, found.high - found.built
    below, above = down / found.steps[:, :1], up / found.steps[:, 1:]
    sizes = np.stack([np.abs(down), np.abs(up)])
    largest = np.max(np.where(np.isfinite(sizes), sizes, 0.0), axis=(0, 1), initial=0.0)
    steep = np.maximum(np.abs(below), np.abs(above))
    bent = (np.abs(above - below) > ROUGH * steep) & (np.abs(up - down) > FELT * largest)
    smooth = ~bent & np.isfinite(below) & np.isfinite(above)
    slope = (found.high - found.low) / found.steps.sum(axis=1, keepdims=True)
    return Slopes(np.where(smooth, slope, math.nan), below, above, smooth)
