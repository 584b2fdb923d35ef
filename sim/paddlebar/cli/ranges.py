"""Values and ranges as they are typed: ``5``, ``4:16:7``, ``craft.bar.gain=-1:1:21``."""

from __future__ import annotations

import math
from typing import Any

import click

MOST_POINTS = 1000


class Within(click.FloatRange):
    """A number within limits. What is not a number is in no range, but is not beyond one either."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Fails with a usage error."""
        found = float(super().convert(value, param, ctx))
        if math.isnan(found):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return found


def values(option: str, text: str) -> list[float]:
    """``5`` -> [5], ``4:16:7`` -> seven from 4 to 16. Raises BadInput."""
    from paddlebar.errors import BadInput

    wanted = f"{option}: write a number, or first:last:how many, such as 4:16:7"
    parts = _numbers(text, ":")
    if len(parts) not in (1, 3):
        raise BadInput(f"{wanted}, found {text!r}")
    if len(parts) == 1:
        return parts
    first, last, count = parts
    if count != int(count) or not 2 <= count <= MOST_POINTS:
        raise BadInput(f"{option}: how many should be a whole number from 2 to {MOST_POINTS}, found {text!r}")
    n = int(count)
    return [first + (last - first) * k / (n - 1) for k in range(n)]


def keyed(option: str, text: str, how: str, example: str) -> tuple[str, list[float]]:
    """``craft.bar.gain=-1:1:21`` -> key and numbers, as many as ``how`` names: "lowest:highest:how many". Raises BadInput."""
    from paddlebar.errors import BadInput

    key, _, rest = text.partition("=")
    numbers = _numbers(rest, ":")
    if not key.strip() or len(numbers) != len(how.split(":")):
        raise BadInput(f"{option}: write key={how}, such as {example}, found {text!r}")
    return key.strip(), numbers


def listed(option: str, text: str, what: str) -> list[float]:
    """``1,0.5`` -> [1, 0.5]. Raises BadInput."""
    from paddlebar.errors import BadInput

    numbers = _numbers(text, ",")
    if not numbers:
        raise BadInput(f"{option}: write {what}, found {text!r}")
    return numbers


def _numbers(text: str, sign: str) -> list[float]:
    """Finite numbers between signs; none at all if one is none."""
    try:
        found = [float(part) for part in text.split(sign)]
    except ValueError:
        return []
    return found if all(math.isfinite(each) for each in found) else []
