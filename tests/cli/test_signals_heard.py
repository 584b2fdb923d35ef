"""A signal that asks to end is heard, even where what it raises is thrown away on its way."""

from __future__ import annotations

import signal
import time
from contextlib import suppress

import pytest

from paddlebar.cli.signals import INTERRUPTED, LOOK_S, Terminated, exit_code, heard

NUMBERS = [signal.SIGINT, signal.SIGTERM]


def wait(seconds: float) -> None:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        time.sleep(0.01)


@pytest.mark.parametrize("number", NUMBERS)
def test_it_is_raised_again_where_it_was_thrown_away(number: int) -> None:
    """As a compiled library does that calls Python back and goes on whatever comes of it."""

    def thrown_away() -> None:
        with heard():
            with suppress(KeyboardInterrupt):
                signal.raise_signal(number)
            wait(40.0 * LOOK_S)

    with pytest.raises(Terminated) as ended:
        thrown_away()
    assert exit_code(ended.value) == 128 + number


@pytest.mark.parametrize("number", NUMBERS)
def test_it_is_raised_once_where_it_is_held(number: int) -> None:
    """Tidying up may take its time."""

    def tidied_up() -> None:
        with heard():
            try:
                signal.raise_signal(number)
            except KeyboardInterrupt:
                wait(4.0 * LOOK_S)
                raise

    with pytest.raises(Terminated):
        tidied_up()
    wait(2.0 * LOOK_S)  # nothing comes afterwards
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    assert INTERRUPTED == 130
