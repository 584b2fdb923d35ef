"""Command lines by chance: each is answered, or refused in a sentence."""

from __future__ import annotations

from random import Random

import pytest

from hard.words import ask, complaint, line, prepare


@pytest.mark.parametrize("seed", range(3))
def test_command_lines_by_chance(tmp_path, monkeypatch, seed):
    """Some thousand were tried besides, see docs/inside/hard.md; they found --dpi nan."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("paddlebar.cli.progress.PATIENCE_S", 3600.0)
    prepare(tmp_path)
    chance = Random(seed)
    wrong = []
    for _ in range(15):
        words = line(chance)
        if said := complaint(ask(words)):
            wrong.append((said, words))
    assert wrong == []
