"""Every verb that takes a noticeable time or writes: its words with a small budget, and where its work is under way."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import paddlebar

ROOT = Path(__file__).parents[2]
LAUNCHER = Path(__file__).with_name("launcher.py")
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(paddlebar.__file__).parents[1]), "MPLBACKEND": "Agg"}
PATIENCE_S = 120.0  # for what takes a second or two on a free machine

HOP = """craft = "craft.toml"
[skein]
turns = 120
[launch]
height_m = 1.2
[run]
duration_s = 2.0
rtol = 1e-4
blade_elements = 3
"""
SHORT = {"run.duration_s": 1.0}
RECORD = "turns,duration_s,peak_height_m\n110,2.0,1.3\n120,2.0,1.3\n"


@dataclass(frozen=True)
class Command:
    """words : after `paddlebar`;  under_way : MODULE:FUNCTION and which call of it, with work left for at least half a second after it; a
    study by then has finished something

    files : its names when it has ended, in the folder `out`;  kept : pattern of what it keeps when broken off, so as to go on
    """

    words: str
    under_way: tuple[str, int]
    files: tuple[str, ...]
    kept: str = ""

    @property
    def verb(self) -> str:
        return self.words.split()[0]

    @property
    def is_study(self) -> bool:
        return bool(self.kept)


PICTURES = ("bar.png", "height.png", "ledger.png", "plan.png", "yaw.png")
ADD = "paddlebar.studies.store:Study.add"
COMMANDS = {
    command.verb: command
    for command in (
        Command(
            "fly hop.toml --out out --set run.rtol=1e-12 --set run.duration_s=9",
            ("paddlebar.flight.fly:fly_track", 1),
            ("run.h5", *PICTURES),
        ),
        Command(
            "margins hop.toml --out out", ("paddlebar.stability.analysis:along", 1), ("growth.png", "modes.png")
        ),
        Command(
            "advise hop.toml --follow --out out --set craft.bar.gain=-0.46",
            ("paddlebar.studies.advise.study:candidates", 1),
            ("advised.toml", "hop-advised.toml"),
        ),
        Command(
            "map hop.toml --out out --workers 2 --by flights --x craft.bar.lead_deg=80:100:4 --y craft.bar.gain=0.4:0.5:9",
            (ADD, 2),
            ("study.h5", "map.csv", "map.png"),
            "study.h5*",
        ),
        Command(
            "yaw hop.toml --out out --workers 1 --ratio 4:5.4:8 --pitch 10 --set skein.turns=60",
            (ADD, 2),
            ("study.h5", "drift.png", "spin.png", "balance.png"),
            "study.h5*",
        ),
        Command(
            "rank hop.toml --out out --workers 1 --samples 4 --key craft.bar.gain=0.05 --key craft.bar.lead_deg=2",
            (ADD, 3),
            ("study.h5", "rank.csv"),
            "study.h5*",
        ),
        Command(
            "improve hop.toml --out out --workers 2 --budget 10 --at 0.5 --spin 0 --vary craft.bar.lead_deg=80:100",
            (ADD, 3),
            ("study.h5", "designs.csv", "improve.png"),
            "study.h5*",
        ),
        Command(
            "match hop.toml record.csv --out out --workers 2 --unknown craft.rotor.collective_deg",
            (ADD, 2),
            ("matched.toml", "match.csv", "match.png"),
            "unfinished-*.h5*",
        ),
        Command(
            "stand craft.toml --out out --rpm 300:600:30 --collective 4:16:20",
            ("paddlebar.whirl_stand:stand_range", 2),
            ("stand.png",),
        ),
        Command("check craft.toml --sheet out/sheet.pdf", ("paddlebar.sheet.book:draw_sheet", 1), ("sheet.pdf",)),
        Command("new wren --out out", ("paddlebar.sizing.flown:tried", 2), ("wren.toml", "wren-measure.pdf")),
        Command(
            "examples out/",
            ("paddlebar.files.examples:write_examples", 1),
            ("scenarios/first-flight.toml", "models/hall-ten.toml"),
        ),
        Command(
            "replay flown --out out/replay.html --film out/film.gif --from 0 --to 1.5 --speed 1",
            ("paddlebar.replay_page.film:draw", 1),
            ("replay.html", "film.gif"),
        ),
        Command(
            "report flown --out out/report.html --pdf out/report.pdf --no-margins",
            ("paddlebar.report_page.compose:compose", 1),
            ("report.html", "report.pdf"),
        ),
    )
}  # fmt: skip


def prepared(folder: Path, run: Path | None = None) -> Path:
    """A folder with a craft, a scenario, a record and, if there is one, a run file to look at; and a place for results."""
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copy(ROOT / "models" / "hall-ten.toml", folder / "craft.toml")
    (folder / "hop.toml").write_text(HOP, encoding="utf-8")
    (folder / "record.csv").write_text(RECORD, encoding="utf-8")
    (folder / "out").mkdir(exist_ok=True)
    if run is not None:
        (folder / "flown").mkdir(exist_ok=True)
        shutil.copy(run, folder / "flown" / "run.h5")
    return folder


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, hidden ones too."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def begin(words: str, folder: Path, under_way: tuple[str, int] | None = None) -> subprocess.Popen[str]:
    """Start a command in a session of its own; returns when its work is under way."""
    place, count = under_way or ("paddlebar.cli.main:complain", 1)
    sign = folder / "under-way"
    sign.unlink(missing_ok=True)
    process = subprocess.Popen(
        [sys.executable, str(LAUNCHER), str(sign), place, str(count), *words.split()],
        cwd=folder, env=ENVIRONMENT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    until = time.monotonic() + PATIENCE_S
    while under_way is not None and not sign.exists():
        if process.poll() is not None:
            out, error = process.communicate()
            raise AssertionError(f"{words}: ended with {process.returncode} before its work began: {out}{error}")
        assert time.monotonic() < until, f"{words}: no sign of work"
        time.sleep(0.002)
    return process


def whole(words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a command to its end."""
    process = begin(words, folder)
    out, error = process.communicate(timeout=PATIENCE_S)
    return subprocess.CompletedProcess(words, process.returncode, out, error)


def left_of(session: int) -> list[str]:
    """What still runs of a session (Linux: read from /proc, where those that ended and were not waited for do not count)."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            head, _, tail = stat.read_text(encoding="utf-8", errors="replace").rpartition(")")
            state, _, _, sid = tail.split()[:4]
            if int(sid) == session and state not in "ZX":
                found.append(head)
    return found


def gone(session: int) -> bool:
    """Whether all of a session ends, given some seconds for it."""
    until = time.monotonic() + PATIENCE_S / 4
    while left_of(session):
        if time.monotonic() > until:
            return False
        time.sleep(0.02)
    return True
