"""``paddlebar bench``: sliders and the flight that they give, on a page in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress
from paddlebar.cli.signals import INTERRUPTED, exit_code


@click.command()
@click.argument("file", metavar="[CRAFT|SCENARIO]", type=verb.PATH, required=False)
@verb.set_option
@click.option("--port", type=click.IntRange(1024, 65535), metavar="N", help="Of this computer. [default: a free one]")
@click.option(
    "--no-browser", "browser", is_flag=True, flag_value=False, default=True, help="Print the address, open nothing."
)
@verb.answer_options
def bench(file: Path | None, changes: dict[str, Any], port: int | None, browser: bool) -> None:
    """Open a page on which the numbers of a craft are sliders, and each change is flown at once.

    The page is served by this computer to itself alone, under an address that nobody can guess. It shows the flight beside that of a
    pinned design, how it went, what the bar does along the run-down, balance and tail; it gives advice that was flown, and saves a
    design as new files beside the first. CRAFT is flown as wound to 85 % of breaking, let go at 1.5 m. Without a file the page begins
    with the seven questions of `new`, and writes what flies into the folder where you are.

    It ends with Ctrl-C, or a minute after its last page was closed.

    Exit code: 0 it was served and has ended; 2 bad input.

    \b
    Example:
      paddlebar bench scenarios/first-flight.toml
      paddlebar bench models/hall-ten.toml --no-browser
    """
    from paddlebar.bench_page.bench import Bench
    from paddlebar.bench_page.serve import serve
    from paddlebar.bench_page.source import loaded
    from paddlebar.errors import BadInput

    found: Bench | None = None
    if file is None and changes:
        raise BadInput("--set: there is no craft yet whose keys could be set; name one, or answer the page's questions")
    if file is not None:
        scenario = loaded(file, changes)
        with progress() as bar:
            bar.start(1)
            bar.step("setting the bench up")
            found = Bench(scenario, file)

    def ready(address: str) -> None:
        asked = click.get_current_context().ensure_object(
            verb.Asked
        )  # one document, and nothing else, on standard output
        click.echo(f"bench: {address}\nend it with Ctrl-C, or close the page", err=asked.json)
        if browser:
            import webbrowser

            webbrowser.open(address)

    try:
        why = serve(found, port or 0, ready=ready)
    except KeyboardInterrupt as error:
        if exit_code(error) != INTERRUPTED:  # SIGTERM has an exit code of its own
            raise
        why = "Ctrl-C"
    verb.answer(
        {"ended": why},
        lambda _: verb.Screen(
            f"bench: closed, {why}",
            [],
            f"paddlebar bench {verb.as_typed(file, changes)}" if file is not None else "paddlebar bench",
        ),
    )
