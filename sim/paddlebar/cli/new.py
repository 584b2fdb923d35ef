"""``paddlebar new``: a commented craft and a first flight to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from paddlebar.cli.options import json_option, out_option, print_json


@click.command()
@click.argument("name")
@out_option("Folder for the two files. [default: here]")
@json_option
def new(name: str, out: Path | None, as_json: bool) -> None:
    """Write a commented craft file NAME.toml and a first scenario NAME-first-flight.toml to fill in.

    Both load and fly as they are; every figure in them is invented. An existing file is never overwritten.

    \b
    Example:
      paddlebar new sparrow --out models
      paddlebar fly models/sparrow-first-flight.toml
    """
    from paddlebar.cli import tables
    from paddlebar.cli.outputs import check_folder, staged
    from paddlebar.errors import BadInput
    from paddlebar.files.template import new_files

    folder = out or Path()
    texts = new_files(name)
    check_folder(folder)
    for file in texts:
        if (folder / file).exists() or (folder / file).is_symlink():
            raise BadInput(f"{folder / file}: exists already and is not overwritten; choose another name or --out")
    with staged(folder) as hidden:
        for file, text in texts.items():
            (hidden / file).write_text(text, encoding="utf-8", newline="\n")
    files = [folder / file for file in texts]
    if as_json:
        print_json({"files": [str(file) for file in files]})
        return
    tables.show_files(files)
    click.echo(f"next: put in your own figures, then paddlebar fly {files[-1]}")
    tables.show_cautions()
