"""The cautions, once for every place that shows them: screen, file templates, build sheet, report."""

from __future__ import annotations

import textwrap
from typing import Final

CAUTIONS: Final = (
    "Caution: wound rubber can cut and blind: eye protection, hair and fingers clear, wind at arm's length with a "
    "winder, never over a person; children only with an adult; keep off spinning blades.",
    "Fly away from people and traffic and by local rules. A model's verdict says nothing about any rotor that carries "
    "a person.",
)

# On screens whose answer is about something else: the two that hurt, in one line of 80 columns. Those above stand in full elsewhere.
CAUTION: Final = "Caution: eye protection; hair and fingers clear of wound rubber and blades."


def as_comment(width: int = 112) -> str:
    """The cautions as lines of a TOML comment."""
    return "".join(f"# {line}\n" for line in textwrap.wrap(" ".join(CAUTIONS), width - 2))
