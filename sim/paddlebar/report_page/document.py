"""What a report holds, in the order in which it is read, whatever it is written on: a browser's page and paper are made from the same document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from matplotlib.figure import Figure

Look = Literal["plain", "lead", "note", "caution"]
WIDE: Final = ">"


@dataclass(frozen=True)
class Words:
    """A paragraph; ``lead``: the sentence that a section is read for, ``note``: small print."""

    text: str
    look: Look = "plain"
    kind: Literal["words"] = "words"


@dataclass(frozen=True)
class Listed:
    """A numbered list: what stands first, and what is said about it."""

    items: tuple[tuple[str, str], ...]
    kind: Literal["listed"] = "listed"


@dataclass(frozen=True)
class Table:
    """Rows of words.

    caption : what it is;  heads : of the columns, empty: none;  sides : a letter a column, "<" or ">"
    widths  : of the columns on paper, as shares
    """

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    sides: str
    widths: tuple[float, ...]
    kind: Literal["table"] = "table"

    @property
    def columns(self) -> range:
        """Numbers of the columns."""
        return range(len(self.sides))


@dataclass(frozen=True, eq=False)
class Picture:
    """A figure that carries its own sentence, and what to look for in it."""

    name: str
    figure: Figure
    caption: str
    kind: Literal["picture"] = "picture"


@dataclass(frozen=True)
class Text:
    """A file, letter by letter."""

    caption: str
    text: str
    kind: Literal["text"] = "text"


Block = Words | Listed | Table | Picture | Text


@dataclass(frozen=True)
class Section:
    """A heading and what stands below it; ``name`` is what links point to."""

    name: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Document:
    """A report.

    title, craft : of the flight;  outcome : in a word or two;  well : whether that is good
    verdict      : in a sentence
    answers      : question and answer, what the first screen must say;  sections : in order
    generator    : which program made it
    """

    title: str
    craft: str
    outcome: str
    well: bool
    verdict: str
    answers: tuple[tuple[str, str], ...]
    generator: str
    sections: tuple[Section, ...] = field(default=())


def table(
    caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]], sides: str, widths: Sequence[float] = ()
) -> Table:
    """A Table from any sequences; without widths all columns are as wide."""
    return Table(caption, tuple(heads), tuple(tuple(row) for row in rows), sides, tuple(widths) or (1.0,) * len(sides))
