"""Lines on a screen: at most 24 of 80 columns, the answer first and what to do next last."""

from __future__ import annotations

import io
import shutil
import sys
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import click

LINES, WIDE = 24, 80
FULL_WIDE = 200  # with --full, where no terminal says how wide it is
NEXT = "next: "  # a command to be typed, so never folded: what is marked and pasted must run
MORE = "... --full shows the rest"


def screen(lines: Sequence[str], full: bool, last: Sequence[str] = (), *, more: bool = False) -> None:
    """Show lines, the most important first: folded at 80 columns, and as many as a screen holds.

    full : all of them, as they are
    last : lines that stand at the end whatever is cut, the next step last of all
    more : with --full there would be others; said as when something was cut
    """
    if full:
        say([*lines, *last])
        return
    end = [part for line in last for part in ([line] if line.startswith(NEXT) else folded(line))]
    room = LINES - len(end)
    blocks = [folded(line) for line in lines]
    if more or sum(map(len, blocks)) > room:
        room -= 1
        end = [MORE, *end]
    shown: list[str] = []
    for block in blocks:  # whole ones: half a sentence says nothing
        if len(shown) + len(block) > room:
            break
        shown += block
    say([*shown, *end])


def say(lines: Iterable[str]) -> None:
    """Lines on standard output. What a terminal would obey is written out, and so is what its encoding does not have."""
    from paddlebar.errors import printable

    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    for line in lines:
        click.echo(printable(line).encode(encoding, "backslashreplace").decode(encoding))


def folded(line: str) -> list[str]:
    """A line in as many of 80 columns as it takes, two columns further in from the second on; a path is never broken."""
    if len(line) <= WIDE:
        return [line]
    inward = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.wrap(line, WIDE, subsequent_indent=inward, break_long_words=False, break_on_hyphens=False)


def width(full: bool) -> int:
    """Columns that a table may take."""
    if not full:
        return WIDE
    return max(shutil.get_terminal_size().columns, WIDE) if sys.stdout.isatty() else FULL_WIDE


def table(
    heads: Sequence[str], rows: Iterable[Sequence[str]], sides: Sequence[str] = (), *, full: bool = False
) -> list[str]:
    """The lines of a table of words; ``sides`` ">" sets a column to the right."""
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table

    rows = list(rows)
    count = len(heads) or max((len(row) for row in rows), default=0)
    laid = Table(box=None, show_header=bool(heads), padding=(0, 2, 0, 0), pad_edge=False, header_style="")
    keys = max((len(row[0]) for row in rows if row), default=0) <= width(full) // 2  # the first column is not folded
    for index in range(count):
        right = index < len(sides) and sides[index] == ">"
        head = heads[index] if heads else ""
        laid.add_column(head, justify="right" if right else "left", no_wrap=keys and not index, overflow="fold")
    for row in rows:
        laid.add_row(*row)
    # markup off: a craft's name may hold brackets
    out = io.StringIO()
    Console(file=out, width=width(full), markup=False, emoji=False, highlight=False, color_system=None).print(
        Padding(laid, (0, 0, 0, 2), expand=False)
    )
    return [line.rstrip() for line in out.getvalue().splitlines()]


def figures(
    points: Sequence[Mapping[str, float]], columns: Mapping[str, tuple[str, str, float]], *, full: bool = False
) -> list[str]:
    """A table of figures, a row a point; columns: key -> head, format, what the figure is multiplied by for the eye."""
    from paddlebar.pictures.words import number

    rows = [[number(point[key] * times, form) for key, (_, form, times) in columns.items()] for point in points]
    return table([head for head, _, _ in columns.values()], rows, (">",) * len(columns), full=full)


def written(files: Sequence[Path]) -> list[str]:
    """Where files are: a folder and the names in it."""
    folders = dict.fromkeys(file.parent for file in files)
    return [
        f"written{'' if folder == Path() else f' in {folder}'}: {', '.join(file.name for file in files if file.parent == folder)}"
        for folder in folders
    ]
