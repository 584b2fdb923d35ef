"""What all verbs share: arguments and options spelt once, where files go, progress, and the one way to answer.

A verb is a click command in a file of its name, with a row in verbs.py. It asks the package, writes its files, and ends with ``answer``.
"""

from __future__ import annotations

import math
import shlex
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from paddlebar.cli.ranges import Within
from paddlebar.cli.screen import NEXT, screen, written

if TYPE_CHECKING:
    from paddlebar.pictures.saving import Look


@dataclass
class Asked:
    """How the answer is wanted; click's Context.obj."""

    json: bool = False
    full: bool = False
    format: str = "png"
    dpi: float | None = None
    dark: bool = False


def _asked(ctx: click.Context, option: click.Parameter, wanted: Any) -> None:
    if wanted and option.name is not None:
        setattr(ctx.ensure_object(Asked), option.name, wanted)


def _changes(_: click.Context, __: click.Parameter, texts: tuple[str, ...]) -> dict[str, Any]:
    """Dotted key -> value; the last one of a key counts, so that a command may be called back and added to. Raises BadInput."""
    if not texts:
        return {}
    from paddlebar.files.override import parse_setting

    return dict(parse_setting(text) for text in texts)


PATH: Any = click.Path(path_type=Path)
scenario_argument = click.argument("scenario", type=PATH)
craft_argument = click.argument("craft", type=PATH)
set_option = click.option(
    "--set", "changes", multiple=True, metavar="KEY=VALUE", callback=_changes,
    help="Another value for a key of the file, the craft's under craft., e.g. craft.bar.gain=-0.5. May be repeated.",
)  # fmt: skip
data_option = click.option(
    "--data", is_flag=True, help="What each picture shows as a table as well: NAME.csv beside NAME.png."
)
_json_option = click.option(
    "--json", is_flag=True, expose_value=False, callback=_asked, help="One JSON document on standard output, no table."
)
_full_option = click.option(
    "--full", is_flag=True, expose_value=False, callback=_asked, help="All there is to say, however long and wide."
)


_format_option = click.option(
    "--format", type=click.Choice(["png", "svg", "pdf"]), expose_value=False, callback=_asked,
    help="Kind of picture. [default: png]",
)  # fmt: skip
_dpi_option = click.option(
    "--dpi", type=Within(30, 1200), metavar="N", expose_value=False, callback=_asked,
    help="How fine pictures are: dots an inch. [default: as the scenario says]",
)  # fmt: skip
_dark_option = click.option(
    "--dark", is_flag=True, expose_value=False, callback=_asked, help="Pictures for a dark page."
)


def look_options(command: Any) -> Any:
    """``--format``, ``--dpi`` and ``--dark``, which ``look`` looks at."""
    return _format_option(_dpi_option(_dark_option(command)))


def look(dpi: float = 110.0) -> Look:
    """How pictures are to be written; dpi : where none was asked for."""
    from paddlebar.pictures.saving import Look

    wanted = click.get_current_context().ensure_object(Asked)
    return Look(wanted.dpi or dpi, wanted.format, wanted.dark)


def answer_options(command: Any) -> Any:
    """``--json`` and ``--full``, which ``answer`` looks at."""
    return _json_option(_full_option(command))


def out_option(says: str) -> Any:
    """``--out DIR`` with its own explanation."""
    return click.option("--out", type=PATH, metavar="DIR", help=says)


def workers_option(what: str) -> Any:
    """``--workers N``: how many of what are worked on at once."""
    says = f"{what} at once. [default: one a core]"
    return click.option("--workers", type=click.IntRange(1, 256), metavar="N", help=says)


def pictures_option(says: str) -> Any:
    """``--no-pictures``, with what is written then."""
    return click.option("--no-pictures", "pictures", is_flag=True, flag_value=False, default=True, help=says)


def folder_for(out: Path | None, name: str) -> Path:
    """Where files go: as asked for, or flights/NAME. Raises OSError now if they could not be written there later."""
    from paddlebar.cli.outputs import check_folder

    folder = out or Path("flights") / name
    check_folder(folder)
    return folder


def as_typed(file: Path, changes: Mapping[str, Any]) -> str:
    """A file and its --set, to be typed again behind another verb."""
    from paddlebar.files.override import as_setting

    settings = [as_setting(key, value) for key, value in changes.items()]
    return " ".join([shlex.quote(str(file)), *([as_options(settings)] if settings else [])])


def as_options(settings: Sequence[str]) -> str:
    """``key=value`` each, as typed into a shell."""
    return " ".join(f"--set {shlex.quote(each)}" for each in settings)


def field(value: float) -> str:
    """A figure in a table of commas; empty where there is none."""
    return f"{value:.6g}" if math.isfinite(value) else ""


def as_document() -> bool:
    """Whether the answer goes to a program (``--json``)."""
    return click.get_current_context().ensure_object(Asked).json


@dataclass(frozen=True)
class Screen:
    """What a verb says on a screen.

    verdict : the answer, first;  lines : what it rests on, the most important first;  next : what to do now
    more    : --full would say more;  cautions : in full, where the answer is about handling the craft
    """

    verdict: str
    lines: Sequence[str]
    next: str
    more: bool = False
    cautions: bool = False


def answer(
    document: Mapping[str, Any], says: Callable[[bool], Screen], files: Sequence[Path] = (), *, good: bool = True
) -> NoReturn:
    """Say it, and end: exit code 0, or 1 if the answer is a bad one.

    document : for --json, the files and the format are added;  says : given whether all is wanted (--full), what a screen shows
    """
    ctx = click.get_current_context()
    wanted = ctx.ensure_object(Asked)
    if wanted.json:
        from paddlebar import plain

        click.echo(plain.document({**document, "files": [str(file) for file in files]}))
    else:
        from paddlebar.files.cautions import CAUTION, CAUTIONS

        found = says(wanted.full)
        last = [*written(files), *(CAUTIONS if found.cautions else [CAUTION]), f"{NEXT}{found.next}"]
        screen([found.verdict, *found.lines], wanted.full, last, more=found.more)
    ctx.exit(0 if good else 1)
