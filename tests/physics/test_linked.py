"""Functions that are compiled only inside their callers: the same answers, nothing finished that nobody asked for, doors on demand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numba import njit
from numba.core.registry import CPUDispatcher

from paddlebar import load_scenario
from paddlebar.craft.build import build
from paddlebar.flight.rates import address_of
from paddlebar.flight.rhs import rhs_into
from paddlebar.physics import linked, wind
from paddlebar.physics.compiled import inner, jitted, source_of

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
COMPILES = pytest.mark.skipif(not isinstance(wind.wind, CPUDispatcher), reason="numba is switched off")


def _square(x):
    return x * x


def _compiled_with(options):
    """The root, whose squares are compiled with those options."""
    square = njit(error_model="numpy", no_cfunc_wrapper=True, no_cpython_wrapper=True, **options)(_square)

    @njit(error_model="numpy")
    def root(a, b):
        return np.sqrt(square(a) + square(b))

    return root, square


@COMPILES
def test_a_linked_function_gives_what_one_compiled_the_usual_way_gives():
    rng = np.random.default_rng(3)
    ours, square = _compiled_with(linked.options())
    usual, _ = _compiled_with({})
    for a, b in rng.normal(size=(50, 2)):
        assert ours(a, b) == usual(a, b) == np.sqrt(_square(a) + _square(b))
    (made,) = square.overloads.values()
    assert isinstance(made.library, linked._Linked)


@COMPILES
def test_it_has_no_machine_code_of_its_own_and_its_caller_has():
    ours, square = _compiled_with(linked.options())
    ours(1.0, 2.0)
    (inside,), (around,) = square.overloads.values(), ours.overloads.values()
    assert inside.library.get_pointer_to_function(inside.fndesc.llvm_func_name) == 0
    assert around.library.get_pointer_to_function(around.fndesc.llvm_func_name) != 0


@pytest.mark.parametrize(("version", "as_usual"), [((0, 60), True), ((0, 61), False), ((0, 68), False), ((1, 0), True)])
def test_an_untried_numba_compiles_as_it_always_does(version, as_usual):
    assert (linked.options(version) == {"cache": True}) is as_usual


@COMPILES
def test_the_installed_numba_was_tried():
    """Else the first compilation takes half as long again: try linked.py with it, then move linked.TRIED."""
    assert "pipeline_class" in linked.options()


@COMPILES
def test_a_door_is_compiled_at_the_first_call_from_python_and_once():
    function = jitted(_square)
    assert not function.door.signatures
    assert function(3.0) == 9.0
    assert function(4.0) == 16.0
    assert len(function.door.signatures) == 1
    assert not function.signatures, "nothing compiled it as a part of itself"


def test_the_source_is_there_whatever_compiles_it():
    for function in (inner(_square), jitted(_square), _square):
        assert source_of(function) is _square


@COMPILES
def test_no_function_reads_the_environment_that_numba_keeps_for_python_objects():
    """What is linked in has none: linked._NoEngine. The right-hand side holds nearly all of them."""
    assert address_of(build(load_scenario(FIRST))) != 0
    for made in rhs_into.overloads.values():
        bitcode = str(made.library._get_module_for_linking())
        reads = [line for line in bitcode.splitlines() if " = load " in line and "NumbaEnv" in line]
        assert [line for line in reads if "rhs_into" in line], "its own door reads its own"
        assert not [line for line in reads if "rhs_into" not in line]
