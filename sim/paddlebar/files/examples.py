"""The craft, flights and lessons that come with the program: where they lie, found by bare name, copied out."""

from __future__ import annotations

import json
import os
import shutil
import tomllib
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Final, NamedTuple

from paddlebar.errors import BadInput

CRAFT, FLIGHTS, LESSONS = "models", "scenarios", "notebooks"
FOLDERS: Final = (CRAFT, FLIGHTS, LESSONS)
WHAT: Final = {CRAFT: "craft", FLIGHTS: "flight", LESSONS: "lesson"}
SUFFIX: Final = ".toml"
_PACKAGE: Final = Path(__file__).parents[1]


class Example(NamedTuple):
    """One of them. what : "craft", "flight" or "lesson";  title : as it names itself;  path : where it lies"""

    name: str
    what: str
    title: str
    path: Path


@cache
def shipped() -> Path:
    """The folder that holds ``FOLDERS``: inside the package as installed from a wheel, else the top of the source tree."""
    inside = _PACKAGE / "shipped"
    return inside if inside.is_dir() else _PACKAGE.parents[1]


def examples() -> list[Example]:
    """What comes with the program.

    Returns : craft, flights and lessons, each with its name, its title and its path; ``load_scenario(NAME)`` and ``load_craft(NAME)``
        find the first two by their names
    """
    found = []
    for folder in FOLDERS:
        for path in sorted((shipped() / folder).glob("*.ipynb" if folder == LESSONS else f"*{SUFFIX}")):
            found.append(Example(path.stem, WHAT[folder], _title(path), path))
    return found


def write_examples(folder: str | os.PathLike[str], *, lessons_blank: bool = False) -> list[Path]:
    """Copy craft, flights and lessons into a folder, each kind in a folder of its own, as the flights look for their craft.

    folder  : made if it is not there
    lessons_blank : the lessons for students: without what was printed and drawn, and without the answers
    Returns : what was written
    Raises  : BadInput, one line, if one of those folders is there already; OSError where nothing can be written
    """
    check_new(Path(folder))
    written = []
    for name in FOLDERS:
        for path in sorted((shipped() / name).iterdir()):
            if path.suffix in (SUFFIX, ".csv", ".stl", ".ipynb"):
                target = Path(folder) / name / path.name
                target.parent.mkdir(parents=True, exist_ok=True)
                if lessons_blank and path.suffix == ".ipynb":
                    target.write_text(blank(path.read_text(encoding="utf-8")), encoding="utf-8")
                else:
                    shutil.copyfile(path, target)
                written.append(target)
    return written


def blank(notebook: str) -> str:
    """Text of a lesson for students: its answers are taken away, and all that a run has left in it.

    notebook : as stored, in which the cells of answers carry the tag "answer" and stand below a heading of that name, and what is told
        right after a prediction the tag "told"
    """
    found = json.loads(notebook)
    cells = [cell for cell in found["cells"] if not {"answer", "told"} & set(cell["metadata"].get("tags", []))]
    found["cells"] = [cell for cell in cells if not "".join(cell["source"]).startswith("## Answers")]
    for cell in found["cells"]:
        if cell["cell_type"] == "code":
            cell["outputs"], cell["execution_count"] = [], None
    return json.dumps(found, indent=1, ensure_ascii=False) + "\n"


def check_new(folder: Path) -> None:
    """Raise BadInput if something of the name of what would be written is there already."""
    for name in FOLDERS:
        if (folder / name).exists() or (folder / name).is_symlink():
            raise BadInput(f"{folder / name}: exists already and is not overwritten; choose another folder")


def found(path: str | os.PathLike[str], folder: str) -> Path:
    """The file of a path as typed; if there is none, the one of that bare name that comes with the program.

    folder  : CRAFT or FLIGHTS
    Returns : the path as it is, unless it is a bare name that is known here
    Raises  : BadInput for a bare name that is neither, with the nearest
    """
    typed = os.fspath(path)
    bare = typed.removesuffix(SUFFIX)
    # a path, or with another ending: whoever reads it says what is wrong with it
    if Path(typed).name != typed or Path(bare).suffix or os.path.isfile(typed):  # noqa: PTH113  calm about any name
        return Path(typed)
    known = {each.stem: each for each in (shipped() / folder).glob(f"*{SUFFIX}")}
    if bare in known:
        return known[bare]
    if typed != bare or not typed.isprintable() or os.path.exists(typed):  # noqa: PTH110  as above
        return Path(typed)
    here = [each.name for each in Path().glob(f"*{SUFFIX}")]
    close = get_close_matches(bare, [*known, *here], n=1) or get_close_matches(f"{bare}{SUFFIX}", here, n=1)
    guess = f"; did you mean {close[0]}?" if close else "; `paddlebar examples` lists them"
    raise BadInput(f"{typed}: no such file, and no {WHAT[folder]} of that name comes with the program{guess}")


def _title(path: Path) -> str:
    """As a craft or a flight names itself; of a lesson its name."""
    if path.suffix != SUFFIX:
        return path.stem.partition("-")[2].replace("-", " ")
    text = tomllib.loads(path.read_text(encoding="utf-8"))
    return str(text.get("title") or text.get("note") or text.get("name") or path.stem)
