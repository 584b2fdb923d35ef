"""Steady flight, its modes, and what the bar does for them.

The package can be called: ``paddlebar.margins(scenario)`` is a verb of the program, and the import system puts this package under the
same name as soon as the verb has loaded it. Calling it is calling ``analysis.margins``.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from paddlebar.margins.result import Margins


class _Verb(ModuleType):
    def __call__(self, *arguments: Any, **named: Any) -> Margins:
        from paddlebar.margins.analysis import margins  # noqa: PLC0415  importing the package alone costs nothing

        return margins(*arguments, **named)


sys.modules[__name__].__class__ = _Verb
