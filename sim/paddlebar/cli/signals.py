"""Being asked to end: SIGTERM and a closed terminal are taken as Ctrl-C is, so that everything is tidied up on the way out."""

from __future__ import annotations

import signal
import sys
import threading
import weakref
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

ASKED = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))

COMPILER, LATER_S = "llvmlite", 0.02
INTERRUPTED = 128 + int(signal.SIGINT)
LOOK_S = 0.25  # how often it is looked whether an exception still is on its way
_over = threading.Event()  # nothing is heard any more


class Terminated(KeyboardInterrupt):
    """A signal asked the program to end, Ctrl-C's too; whoever tidies up after Ctrl-C does so after this."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


def _end(number: int, frame: FrameType | None) -> None:
    """Raise, but for a moment later while the compiler is called back by its library: an exception is lost there, and the program with it."""
    if _in_compiler(frame):
        threading.Timer(LATER_S, signal.raise_signal, (number,)).start()
        return
    error = Terminated(number)
    threading.Thread(target=_again_if_lost, args=(weakref.ref(error), number), daemon=True).start()
    try:
        raise error
    finally:
        del error  # the frame would keep it


def _again_if_lost(error: weakref.ref[Terminated], number: int) -> None:
    """Compiled libraries throw away what is raised while they ask something of Python (seen once: SIGTERM as a flight began, and it flew on).

    An exception that nobody holds any more, with the program still at work, has been lost so: it is raised once more.
    """
    while not _over.wait(LOOK_S):
        if error() is None:
            signal.raise_signal(number)
            return


def _in_compiler(frame: FrameType | None) -> bool:
    while frame is not None:
        if COMPILER in frame.f_code.co_filename:
            return True
        frame = frame.f_back
    return False


@contextmanager
def heard() -> Iterator[None]:
    """Raise Terminated when a signal asks to end; one that the caller ignores (nohup) or handles stays as it is."""
    mine = threading.current_thread() is threading.main_thread()  # Python lets nobody else hear signals
    usual = dict.fromkeys(ASKED, signal.SIG_DFL) | {signal.SIGINT: signal.default_int_handler}
    changed = {number: own for number, own in usual.items() if mine and signal.getsignal(number) is own}
    _over.clear()
    for number in changed:
        signal.signal(number, _end)
    try:
        yield
    finally:
        _over.set()
        for number, own in changed.items():
            signal.signal(number, own)


def exit_code(error: KeyboardInterrupt) -> int:
    """What a shell expects of a program that a signal ended: 130 for Ctrl-C, 143 for SIGTERM."""
    return 128 + error.number if isinstance(error, Terminated) else INTERRUPTED


def end_workers() -> None:
    """End processes of our own that still work: only a second Ctrl-C finds any, the first one waits for what is under way."""
    if "multiprocessing" in sys.modules:
        for child in sys.modules["multiprocessing"].active_children():
            child.terminate()
