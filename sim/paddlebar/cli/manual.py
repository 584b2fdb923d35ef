"""The pages of the manual: Markdown in docs/, each described by its own first lines, and set for a terminal.

A page is a file: its name is the topic, its first line `# Title`, its next paragraph the summary in one line. A page in docs/ whose title
asks is listed as a question, the others there as what to look up; docs/inside/ is for those who look behind the program. Nothing is listed twice.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

DOCS = Path(__file__).parents[1] / "docs"
INSIDE = "inside"
GROUPS = ("Questions", "To look up", "Behind the program")
WIDTH = 80


@dataclass(frozen=True)
class Page:
    """topic : its name, one short word;  title, summary : its first two lines;  text : all of it, Markdown;  group : one of GROUPS"""

    topic: str
    title: str
    summary: str
    text: str
    path: Path

    @property
    def group(self) -> str:
        if self.path.parent.name == INSIDE:
            return GROUPS[2]
        return GROUPS[0] if self.title.endswith("?") else GROUPS[1]


def read_page(path: Path) -> Page:
    """One page from its file."""
    text = path.read_text(encoding="utf-8")
    title, _, rest = text.partition("\n")
    return Page(path.stem, title.removeprefix("# "), rest.strip().split("\n", 1)[0], text, path)


def pages() -> dict[str, Page]:
    """Topic -> page, in the order of the list: by group, then by topic."""
    found = [read_page(path) for path in DOCS.rglob("*.md")]
    return {page.topic: page for page in sorted(found, key=lambda page: (GROUPS.index(page.group), page.topic))}


def python_name(topic: str) -> str:
    """What pydoc says of a public name of the package, made from the code at hand; "" for another word.

    topic : with its package, "paddlebar.fly_many"; without it a word may be a command
    """
    import pydoc

    import paddlebar

    plain = pydoc.plaintext  # type: ignore[attr-defined]  # its stub has it not

    name = topic.removeprefix("paddlebar.")
    if name == topic or name not in paddlebar.NAMES:
        return ""
    lines = pydoc.render_doc(getattr(paddlebar, name), "%s", renderer=plain).rstrip().splitlines()
    return "\n".join(line.rstrip() for line in lines) + "\n"


def nearest(topic: str, manual: Mapping[str, Page]) -> str:
    """The topic that a word comes nearest to: by spelling, else the page that speaks of it most; "" for none."""
    word = topic.lower()
    if close := get_close_matches(word, manual, n=1, cutoff=0.7):
        return close[0]
    times = {name: page.text.lower().count(word) for name, page in manual.items() if len(word) > 2}
    best = max(times, key=lambda name: times[name], default="")
    return best if best and times[best] else ""


def listed(manual: Iterable[Page]) -> str:
    """All topics, a line each."""
    lines = ["The manual. paddlebar help TOPIC shows a page."]
    for group in GROUPS:
        inside = [page for page in manual if page.group == group]
        lines += ["", group, *(f"  {page.topic:<10} {page.title}" for page in inside)]
    return "\n".join(lines) + "\n"


def rendered(page: Page) -> str:
    """A page for the terminal at hand, at most WIDTH wide; without codes for colour and weight where none listens."""
    from rich.console import Console
    from rich.markdown import Markdown

    console = Console(highlight=False)
    console.width = min(console.width, WIDTH) if console.is_terminal else WIDTH
    with console.capture() as capture:
        console.print(Markdown(_links_spelt_out(page.text), code_theme="ansi_dark", hyperlinks=False))
    return "\n".join(line.rstrip() for line in capture.get().splitlines()) + "\n"


def _links_spelt_out(text: str) -> str:
    """A link to another page becomes the command that shows it, any other its address; a picture its words."""

    def spelt(found: re.Match[str]) -> str:
        picture, words, target = found.groups()
        if picture:
            return f"(picture: {words})"
        path = Path(target.partition("#")[0])
        page = path.suffix == ".md" and path.parts[:1] != ("https:",) and path.stem.islower()
        return f"{words} (`paddlebar help {path.stem}`)" if page else f"{words} ({target})"

    return re.sub(r"(!?)\[([^\]]+)\]\(([^)\s]+)\)", spelt, text)


def encodable(text: str) -> str:
    """The text with what this output cannot write put into plain signs."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        plain = str.maketrans("•─━│┃┏┓┗┛╭╮╰╯╺╸▌", "*-=||==========|")
        return text.translate(plain).encode(encoding, "replace").decode(encoding)
    return text
