"""One conversion to plain data, and the one JSON document that is made of it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any, Final

FORMAT: Final = (
    1  # of the documents of the commands; grows when a key goes or changes its meaning, not when one is added
)


def plain(value: Any) -> Any:
    """``value`` as dictionaries, lists, texts and numbers, so that any JSON reads it.

    An object that has a method to_json() is what that gives; any other dataclass is its fields. Numbers and arrays of numpy become
    Python's. Numbers that are not finite become None. What is none of these, a path among them, becomes its text.
    """
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    for method in ("to_json", "tolist"):  # numpy's is the latter; so it need not be loaded here
        if hasattr(value, method):
            return plain(getattr(value, method)())
    if is_dataclass(value):
        return of_fields(value)
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value if value is None or isinstance(value, bool | int | float | str) else str(value)


def of_fields(value: Any) -> dict[str, Any]:
    """A dataclass as plain data, field by field: what a to_json() that only adds to them begins with."""
    return {field.name: plain(getattr(value, field.name)) for field in fields(value)}


def document(content: Mapping[str, Any]) -> str:
    """One JSON document, in ASCII: any console and any file can hold it."""
    return json.dumps({"format": FORMAT, **plain(content)}, indent=2, allow_nan=False, ensure_ascii=True)
