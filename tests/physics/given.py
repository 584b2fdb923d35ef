"""What the checks of single equations share: a parameter record with a few entries set, the same for compiled and plain code."""

from __future__ import annotations

from typing import Any

import numpy as np

from paddlebar.craft.numbers import fill
from paddlebar.craft.parameters import blank


def record(**values: Any) -> Any:
    """Parameter record with everything nought but these entries; readable by attribute, hence also without the compiler."""
    params = blank()
    fill(params, **values)
    return params.view(np.recarray)[0]


def flat(returned: Any) -> list[float]:
    """Numbers, vectors and tuples of them in one row; nothing for None."""
    if returned is None:
        return []
    if isinstance(returned, tuple):
        return [x for each in returned for x in flat(each)]
    return [float(x) for x in np.atleast_1d(returned)]
