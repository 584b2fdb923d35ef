"""``paddlebar examples``: craft, flights and lessons that come with the program, copied to where they can be changed."""

from __future__ import annotations

from pathlib import Path

import click

from paddlebar.cli import verb

SHOWN = 14


@click.command()
@click.argument("folder", metavar="[DIR]", type=verb.PATH, default=Path("examples"))
@click.option(
    "--lessons",
    is_flag=True,
    help="Tell the lessons on the screen, not the flights. They need craft and flights beside them.",
)
@click.option(
    "--blank", is_flag=True, help="Lessons for students: without answers, and without what a run has left in them."
)
@verb.answer_options
def examples(folder: Path, lessons: bool, blank: bool) -> None:
    """Write the craft, flights and lessons that come with the program into DIR (default: examples), to look at and to change.

    Each of them also goes by its bare name, without being written out: `paddlebar fly first-flight`, `paddlebar check hall-ten`. A file
    of that name in the folder where you are comes first. Nothing is overwritten.

    Exit code: 0 written, 2 bad input, or one of the folders is there already.

    \b
    Example:
      paddlebar examples
      paddlebar examples my-tries
      paddlebar examples for-the-class --lessons --blank
    """
    from paddlebar.cli.outputs import check_folder, staged
    from paddlebar.files.examples import FOLDERS, LESSONS, check_new, write_examples
    from paddlebar.files.examples import examples as all_of_them

    check_folder(folder)
    check_new(folder)
    found = all_of_them()
    with staged(folder) as hidden:
        written = [folder / path.relative_to(hidden) for path in write_examples(hidden, lessons_blank=blank)]
    counts = {what: sum(each.what == what for each in found) for what in ("craft", "flight", "lesson")}

    def says(full: bool) -> verb.Screen:
        kind = "lesson" if lessons else "flight"
        shown = [each for each in found if full or each.what == kind][: None if full else SHOWN]
        flights = [f"  {each.name:18} {each.title}" for each in shown]
        return verb.Screen(
            f"{counts['craft']} craft, {counts['flight']} flights, {counts['lesson']} lessons written to {folder}, in {', '.join(FOLDERS)}",
            flights,
            f"jupyter notebook {folder / LESSONS}"
            if lessons
            else f"paddlebar fly {folder / 'scenarios' / 'first-flight.toml'}",
            more=not full,
        )

    verb.answer(
        {"examples": [{"name": each.name, "what": each.what, "title": each.title} for each in found]},
        says,
        written if verb.as_document() else (),
    )
