"""Options that every verb has, spelt and explained once."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

settings_option = click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="KEY=VALUE",
    help="Another value for a key of the file, the craft's under craft., e.g. craft.bar.gain=-0.5. May be repeated.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output, no table.")

data_option = click.option(
    "--data", is_flag=True, help="What each picture shows as a table as well: NAME.csv beside NAME.png."
)


def out_option(says: str) -> Any:
    """``--out DIR`` with its own explanation."""
    return click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help=says)


def workers_option(what: str) -> Any:
    """``--workers N``: how many of what are worked on at once."""
    says = f"{what} at once. [default: one a core]"
    return click.option("--workers", type=click.IntRange(1, 256), metavar="N", help=says)


def pictures_option(says: str) -> Any:
    """``--no-pictures``, with what is written then."""
    return click.option("--no-pictures", is_flag=True, help=says)


def overrides(settings: tuple[str, ...]) -> dict[str, Any]:
    """The --set options as dotted key -> value; the last one of a key counts. Raises BadInput."""
    from paddlebar.files.override import parse_setting

    return dict(parse_setting(text) for text in settings)


def print_json(document: dict[str, Any]) -> None:
    """The one JSON document on standard output; numbers that are not finite become null, which any reader knows."""
    from paddlebar.record.write import plain

    click.echo(json.dumps(plain(document), indent=2, allow_nan=False, ensure_ascii=False))
