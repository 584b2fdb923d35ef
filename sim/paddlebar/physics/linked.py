"""Compiled functions that stand only inside their callers, by numba's own means of choosing how it compiles.

numba makes every function complete: optimised, turned into machine code, kept on the disk, then optimised again in each caller. Of the
functions here nobody wants the machine code of their own. So they are typed and written down for the compiler, and it first looks at them
as a part of whoever calls them. That takes a third off the first compilation and changes no result (tests/physics/test_compiled.py).

numba documents `pipeline_class` and passes of one's own ("Customizing the compiler"); what a library of code does when it is finished is
numba's own affair. So this is used with the versions of numba that it was tried with; others compile as they always do.
"""

from __future__ import annotations

from typing import Any, Final

import numba
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import CompilerBase, DefaultPassBuilder
from numba.core.compiler_machinery import AnalysisPass, register_pass
from numba.core.typed_passes import IRLegalization

TRIED: Final = (0, 61), (0, 68)  # first and last version of numba


class _NoEngine:
    """In place of the code generator where numba wants to tell it of a function: there is no machine code to tell about."""

    def set_env(self, name: str, environment: Any) -> None:
        """Nothing: no function here reads its environment, which holds Python objects."""


class _Linked(JITCodeLibrary):  # type: ignore[misc]
    """Code that is linked into that of its callers and never finished by itself."""

    @property
    def codegen(self) -> Any:
        return _NoEngine()

    def _optimize_functions(self, ll_module: Any) -> None:
        ll_module.data_layout = self._codegen._data_layout

    def finalize(self) -> None:
        """Link in what is called, once each; the caller's library optimises all of it together."""
        for library in dict.fromkeys(self._linking_libraries):
            if hasattr(library, "_reload_init"):  # what to do when code comes from the disk; older numbas do not ask
                self._reload_init.update(library._reload_init)
            self._final_module.link_in(library._get_module_for_linking(), preserve=True)
        self._finalized = True

    def get_pointer_to_function(self, name: str) -> int:
        """None: nought."""
        self._ensure_finalized()
        return 0


@register_pass(mutates_CFG=False, analysis_only=True)
class _LinkOnly(AnalysisPass):  # type: ignore[misc]
    """Give the function a library of that kind before numba makes one of its own."""

    _name = "link_only"

    def __init__(self) -> None:
        AnalysisPass.__init__(self)

    def run_pass(self, state: Any) -> bool:
        """False: the function is as it was."""
        state.library = _Linked(state.targetctx.codegen(), state.func_id.func_qualname)
        return False


class _Compiler(CompilerBase):  # type: ignore[misc]
    def define_pipelines(self) -> list[Any]:
        """numba's own, with the pass above."""
        passes = DefaultPassBuilder.define_nopython_pipeline(self.state)
        passes.add_pass_after(_LinkOnly, IRLegalization)
        passes.finalize()
        return [passes]


def options(version: tuple[int, ...] = numba.version_info[:2]) -> dict[str, Any]:
    """What njit is to be told for a function that only other compiled functions call."""
    tried = TRIED[0] <= tuple(version) <= TRIED[1]
    return {"pipeline_class": _Compiler} if tried else {"cache": True}
