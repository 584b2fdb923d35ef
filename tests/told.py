"""A progress that remembers what it was told, and may break the work off."""

from __future__ import annotations


class Told:
    """expected : sum of what start() was told;  steps : words of each step;  closed : how often close() came."""

    def __init__(self, break_at: int = 0) -> None:
        self.expected, self.steps, self.closed = 0, list[str](), 0
        self._break_at = break_at  # this step raises KeyboardInterrupt; 0: none

    def start(self, steps: int) -> None:
        self.expected += steps

    def step(self, what: str) -> None:
        self.steps.append(what)
        if len(self.steps) == self._break_at:
            raise KeyboardInterrupt

    def close(self) -> None:
        self.closed += 1
