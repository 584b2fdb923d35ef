"""``paddlebar help``: the pages of the manual, in the terminal."""

from __future__ import annotations

import shutil
import sys

import click


@click.command()
@click.argument("topic", required=False)
@click.pass_context
def help(ctx: click.Context, topic: str | None) -> None:
    """Show the page of the manual about TOPIC; without one, the list of topics.

    What is longer than the terminal is shown page by page; into a file or a pipe it goes as plain text.

    \b
    Example:
      paddlebar help
      paddlebar help bar
      paddlebar help keys > keys.txt
    """
    from paddlebar.cli.manual import encodable, listed, nearest, pages, rendered
    from paddlebar.errors import BadInput

    manual = pages()
    if topic is None:
        _show(encodable(listed(manual.values())))
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
    _show(encodable(rendered(manual[topic])))


def _show(text: str) -> None:
    """Page by page where it does not fit on a terminal at once."""
    fits = text.count("\n") < shutil.get_terminal_size().lines
    if fits or not sys.stdout.isatty():
        click.echo(text, nl=False)
    else:
        click.echo_via_pager(text)
