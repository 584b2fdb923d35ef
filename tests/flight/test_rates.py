"""The right-hand side reached by its address: its own answer, and no other array than it was compiled for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numba import njit
from numba.core.errors import TypingError

from paddlebar.craft.build import Numbers, build
from paddlebar.files.load import load_scenario
from paddlebar.flight import derive, launch, layout, rhs
from paddlebar.flight.rates import address_of, rates_at

Array = np.ndarray


@njit
def _asked(address, t, y, params, tables, gusts, work, out):
    rates_at(address, t, y, params, tables, gusts, work, out)


@pytest.fixture(scope="module")
def launched() -> tuple[Numbers, Array]:
    scenario = load_scenario(Path(__file__).parents[2] / "scenarios" / "field-breeze.toml", {})
    numbers = build(scenario)
    return numbers, launch.state(scenario, numbers)


def _ask(numbers: Numbers, t: object, y: Array, out: Array) -> None:
    _asked(address_of(numbers), t, y, numbers.params, numbers.tables, numbers.gusts, rhs.work_array(), out)


def test_by_address_it_is_the_right_hand_side_bit_for_bit(launched):
    numbers, y = launched
    rng = np.random.default_rng(11)
    for _ in range(20):
        state = y + 0.01 * rng.normal(size=y.size)
        state[layout.ROTOR_SPEED] = rng.uniform(20.0, 120.0)
        by_address, direct = np.empty_like(y), np.empty_like(y)
        _ask(numbers, 0.3, state, by_address)
        rhs.rhs_into(0.3, state, numbers.params, numbers.tables, numbers.gusts, rhs.work_array(), direct)
        assert np.isfinite(direct).all()
        assert np.array_equal(by_address, direct)


def test_an_array_it_was_not_compiled_for_is_refused_in_compiled_code_too(launched):
    """An address knows nothing of types: every other one must stop before it."""
    numbers, y = launched
    wide, out = np.zeros((y.size, 2)), np.empty_like(y)
    wide[:, 0] = y
    for time, state, rates in (
        (0.0, wide[:, 0], out),  # strides
        (0.0, y.astype(np.float32), out),
        (0.0, y, out.astype(np.float32)),
        (0, y, out),
        (np.float32(0.0), y, out),
    ):
        with pytest.raises(TypingError, match="rates_at"):
            _ask(numbers, time, state, rates)


def test_loads_of_states_in_any_order_in_memory(launched):
    numbers, y = launched
    states = np.stack([y, y])
    states[1, layout.ROTOR_SPEED] = 80.0
    times = np.array([0.0, 0.1])
    wanted = derive.derived(times, states, numbers)
    for other in (np.asfortranarray(states), np.repeat(states, 2, axis=0)[::2]):
        assert np.array_equal(derive.derived(times, other, numbers), wanted, equal_nan=True)
