"""The bench's first page where no craft is given: the questions of `new`, and the craft that comes of them."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from paddlebar.bench_page.bench import Bench
from paddlebar.bench_page.html import POLICY
from paddlebar.bench_page.saved import written_anew
from paddlebar.bench_page.source import loaded
from paddlebar.errors import BadInput
from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.template import check_name, new_files
from paddlebar.replay_page.page import digest, fill, in_script, part
from paddlebar.sizing.answers import ASKED, CHOICES, Answers
from paddlebar.sizing.sized import filled_in, size

NAME: Final = "name"
FIRST_NAME: Final = "mine"
NUMBERS: Final = ("_mm", "_g", "_m")


def answers_of(given: Mapping[str, str]) -> Answers:
    """What the page sent, all of it text, as answers. Raises BadInput, one line."""
    read: dict[str, Any] = {}
    for key, text in given.items():
        if key == NAME:
            continue
        read[key] = text
        if key.endswith(NUMBERS):
            try:
                read[key] = float(text)
            except ValueError:
                raise BadInput(f"{key}: input should be a number, found {text[:40]!r}") from None
    return Answers.of(read)


def proposed(given: Mapping[str, str]) -> dict[str, str]:
    """Key -> what stands for an answer that was not given. Raises BadInput."""
    known = filled_in(answers_of(given))
    return {key: f"{value:g}" if isinstance(value := getattr(known, key), float) else str(value) for key in ASKED}


def begun(given: Mapping[str, str], folder: Path) -> Bench:
    """The bench of a craft that was sized, flown and written into a folder. Raises BadInput, OSError; then nothing new stands there."""
    name = given.get(NAME, FIRST_NAME).strip()
    check_name(name)
    sized = size(answers_of(given), name)
    written_anew({folder / file: text for file, text in new_files(name, sized.craft, sized.flight).items()})
    flight = folder / f"{name}-first-flight.toml"
    return Bench(loaded(flight, {}), flight)


def _own(name: str) -> str:
    return (files("paddlebar.bench_page") / f"page/{name}").read_text(encoding="utf-8")


def _style() -> str:
    return part("page/style.css") + _own("ask.css")


def ask_policy() -> str:
    """What that page may load and run, for the header."""
    return POLICY.format(script=digest(_own("ask.js")), style=digest(_style()))


def ask_html() -> str:
    """The page of questions."""
    stands = proposed({})
    asked = [_field(NAME, "Name of the craft", "Letters, digits, - and _: the files are called so.", FIRST_NAME)]
    asked += [
        _field(key, words, str(Answers.model_fields[key].description), stands[key]) for key, words in ASKED.items()
    ]
    return fill(
        _own("ask.html"),
        {
            "STYLE": _style(),
            "SCRIPT": _own("ask.js"),
            "QUESTIONS": "".join(asked),
            "CAUTIONS": "".join(f"<p>{escape(line)}</p>" for line in CAUTIONS),
            "DATA": in_script(stands),
        },
    )


def _field(key: str, words: str, hint: str, stands: str) -> str:
    label = f'<label for="{key}">{escape(words)} <span class="hint">{escape(hint)}</span></label>'
    if key in CHOICES:
        options = "".join(f"<option>{escape(each)}</option>" for each in CHOICES[key])
        return f'{label}<select id="{key}" name="{key}">{options}</select>'
    return f'{label}<input id="{key}" name="{key}" placeholder="{escape(stands)}" maxlength="60">'
