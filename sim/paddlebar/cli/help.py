"""``paddlebar help``: the pages of the manual, in the terminal."""

from __future__ import annotations

import json
import shutil
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from paddlebar.cli.manual import Page


@click.command()
@click.argument("topic", required=False)
@click.option(
    "--schema", type=click.Choice(["craft", "scenario"]), help="Of keys: the JSON Schema of such files, for an editor."
)
@click.pass_context
def help(ctx: click.Context, topic: str | None, schema: str | None) -> None:
    """Show the page of the manual about TOPIC; without one, the list of topics.

    What is longer than the terminal is shown page by page; into a file or a pipe it goes as plain text.

    \b
    Example:
      paddlebar help
      paddlebar help bar
      paddlebar help keys > keys.txt
      paddlebar help keys --schema craft > craft.schema.json
      paddlebar help paddlebar.fly_many      # what Python's function takes
    """
    from paddlebar.cli.manual import encodable, listed, nearest, pages, python_name, rendered
    from paddlebar.errors import BadInput

    if schema is not None:
        if topic != "keys":
            raise BadInput(f"help: --schema: goes with keys, as in paddlebar help keys --schema {schema}")
        click.echo(_schema(schema))
        return
    manual = pages()
    if topic is None:
        _show(encodable(listed(manual.values())))
        return
    if topic not in manual and (told := python_name(topic)):
        _show(encodable(told))
        return
    if topic not in manual:
        command = ctx.parent.command if ctx.parent else None
        near = nearest(topic, manual)
        hint = f"did you mean {near}?" if near else "paddlebar help lists the pages"
        if isinstance(command, click.Group) and topic in command.commands:
            hint = f"paddlebar {topic} --help tells of the command" + (
                f", page {near} of what it answers" if near else ""
            )
        raise BadInput(f"help: {topic}: no such page; {hint}")
    page = manual[topic]
    _show(encodable(rendered(_with_every_key(page) if topic == "keys" else page)))


def _schema(file: str) -> str:
    from paddlebar.files.schema import craft_schema, scenario_schema

    return json.dumps(craft_schema() if file == "craft" else scenario_schema(), indent=2)


def _with_every_key(page: Page) -> Page:
    """The page of keys, and below it all that the fields of the files say."""
    from paddlebar.files.key_table import as_markdown

    return replace(page, text=f"{page.text}\n{as_markdown()}")


def on_a_terminal() -> bool:
    """Whether somebody reads along."""
    return sys.stdout.isatty()


def _show(text: str) -> None:
    """Page by page where it does not fit on a terminal at once."""
    if on_a_terminal() and text.count("\n") >= shutil.get_terminal_size()[1]:
        click.echo_via_pager(text)
    else:
        click.echo(text, nl=False)
