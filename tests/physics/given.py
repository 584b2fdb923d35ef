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
