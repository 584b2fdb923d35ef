"""The page of the bench as it is served: the replay page's style and script, and its own words."""

from __future__ import annotations

from html import escape
from importlib.resources import files
from typing import Final

from paddlebar.bench_page.bench import Bench
from paddlebar.bench_page.controls import GROUPS
from paddlebar.files.cautions import CAUTIONS
from paddlebar.replay_page.page import digest, fill, in_script, part
from paddlebar.replay_page.tours import tours_for

POLICY: Final = "default-src 'none'; script-src 'sha256-{script}'; style-src 'sha256-{style}'; img-src data: blob:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"  # fmt: skip


def _style() -> str:
    return part("page/style.css") + (files("paddlebar.bench_page") / "page/bench.css").read_text(encoding="utf-8")


def policy() -> str:
    """What the page may load and run, for the header."""
    return POLICY.format(script=digest(part("page/bundle/replay.js")), style=digest(_style()))


def bench_html(bench: Bench) -> str:
    """The page; everything else it asks for."""
    title = bench.plain.title or bench.plain.craft.name
    told = {
        "title": title,
        "groups": GROUPS,
        "controls": [control.to_json(i) for i, control in enumerate(bench.controls)],
        "own": bench.standing(bench.plain)["values"],
    }
    fields = {
        "TITLE": escape(f"bench: {title}"),
        "NAME": escape(title),
        "FILE": escape(bench.file.name),
        "STYLE": _style(),
        "SCRIPT": part("page/bundle/replay.js"),
        "CAUTIONS": "".join(f"<p>{escape(line)}</p>" for line in CAUTIONS),
        "TOURS": in_script(tours_for(bench.plain)),
        "DATA": in_script(told),
    }
    return fill((files("paddlebar.bench_page") / "page/bench.html").read_text(encoding="utf-8"), fields)
