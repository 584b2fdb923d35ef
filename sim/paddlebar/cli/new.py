"""``paddlebar new``: a commented craft, a first flight to fill in, and a form to weigh and measure by."""

from __future__ import annotations

from pathlib import Path

import click

from paddlebar.cli import verb


@click.command()
@click.argument("name")
@verb.out_option("Folder for the files. [default: here]")
@click.option("--form/--no-form", default=True, help="Also NAME-measure.pdf, to print. [default: yes]")
@verb.answer_options
def new(name: str, out: Path | None, form: bool) -> None:
    """Write a commented craft file NAME.toml and a first scenario NAME-first-flight.toml to fill in.

    Both load and fly as they are; every figure in them is invented. NAME-measure.pdf is a form to print (A4): what to
    weigh and measure, a line a key, with room for three readings. An existing file is never overwritten.

    \b
    Example:
      paddlebar new sparrow --out models
      paddlebar fly models/sparrow-first-flight.toml
    """
    from paddlebar.cli.outputs import check_folder, staged
    from paddlebar.errors import BadInput
    from paddlebar.files.template import new_files

    folder = out or Path()
    texts = new_files(name)
    craft, flight = (folder / file for file in texts)
    files = [craft, flight, *([folder / f"{name}-measure.pdf"] if form else [])]
    check_folder(folder)
    for path in files:
        if path.exists() or path.is_symlink():
            raise BadInput(f"{path}: exists already and is not overwritten; choose another name or --out")
    with staged(folder) as hidden:
        for file, text in texts.items():
            (hidden / file).write_text(text, encoding="utf-8", newline="\n")
        if form:
            from paddlebar.sheet.form import save_form

            save_form(name, hidden / files[-1].name)
    measured = f"weigh and measure by {files[-1].name}" if form else "weigh and measure your craft"
    verb.answer(
        {},
        lambda _: verb.Screen(
            f"{craft}: a craft to fill in, every figure in it is invented",
            [f"{flight}: its first flight", f"{measured}, then put your own figures into {craft.name}"],
            f"paddlebar check {craft} && paddlebar fly {flight}",
            cautions=True,
        ),
        files,
    )
