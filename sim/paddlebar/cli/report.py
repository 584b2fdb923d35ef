"""``paddlebar report``: one page about one flight: what flew, why, what to change, cautions."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

PAGE = "report.html"


@click.command()
@click.argument("run", metavar="RUN", type=verb.PATH)
@click.option("--out", type=verb.PATH, metavar="FILE", help=f"The page. [default: {PAGE} beside the RUN]")
@click.option("--pdf", type=verb.PATH, metavar="FILE", help="The same for paper, A4, as well.")
@click.option("--flight", default=1, type=click.IntRange(1), metavar="N", help="Which flight of a file. [default: 1]")
@click.option("--no-margins", is_flag=True, help="Leave out verdict and modes: by far the longest piece of the work.")
@verb.answer_options
def report(run: Path, out: Path | None, pdf: Path | None, flight: int, no_margins: bool) -> None:
    """Write one page about the flight of a run file: any browser, no network, to print or to pass on.

    RUN is a run file or the folder that holds one. On the page: whether it flew, how long, why it ended and what to change first; figures
    and pictures; margins of the bar; what turned the body; where the energy went; whether the stick holds; the whole input, versions, and
    the source of every relation that was used. The input is flown once more, and for a flight that did not go well changes are flown too.

    Exit code: 0 the page was written, 2 bad input. How the flight ended is no failure of the page.

    \b
    Example:
      paddlebar report flights/first-flight
      paddlebar report flights/reversed-link --out lesson.html --pdf lesson.pdf
      paddlebar report flights/first-flight/run.h5 --no-margins
    """
    from paddlebar.cli.outputs import check_folder, same_place, staged
    from paddlebar.errors import BadInput
    from paddlebar.replay_page.runs import chosen, run_file
    from paddlebar.report_page.told import told

    page = out or run_file(run).parent / PAGE
    for option, target in (("--out", page), ("--pdf", pdf)):
        if target is not None and target.is_dir():
            raise BadInput(f"{option}: should be the name of a file, found the folder {target}")
    if pdf is not None and same_place(pdf, page):
        raise BadInput(f"--out, --pdf: page and paper cannot both be {page}")
    targets = [page, *([pdf] if pdf is not None else [])]
    if any(same_place(run_file(run), target) for target in targets):
        raise BadInput(f"--out, --pdf: would replace the run file {run_file(run)}")
    with progress() as bar, ExitStack() as stack:
        bar.start(1 + len(targets))
        bar.step("reading")
        recorded, name = chosen(run, flight)
        for target in targets:
            check_folder(target.parent)
        found = told(recorded, name, with_margins=not no_margins, progress=bar)
        from paddlebar.report_page.compose import compose
        from paddlebar.report_page.save import save_html, save_pdf

        bar.step("laying out the page")
        document = compose(found, name)
        size = save_html(document, stack.enter_context(staged(page.parent)) / page.name)
        if pdf is not None:
            bar.step("laying out the paper")
            save_pdf(document, stack.enter_context(staged(pdf.parent)) / pdf.name)
    verdict, *others = [f"{question:<17}{answer}" for question, answer in document.answers]
    verb.answer(
        {
            "outcome": document.outcome,
            "sentence": recorded.sentence,
            "duration_s": float(recorded.time[-1]),
            "answers": dict(document.answers),
            "advice": found.advice,
            "suggestions": [each.to_json() for each in found.suggestions],
            "same_when_flown_again": found.same,
            "verdict": found.margins.verdict if found.margins is not None else None,
            "sources": found.relations,
            "page_bytes": size,
        },
        lambda full: verb.Screen(
            verdict,
            others,
            f"open {page} in a browser ({size / 1e6:.1f} MB, needs no network)",
            cautions=full,
        ),
        targets,
    )
