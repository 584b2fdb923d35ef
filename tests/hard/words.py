"""Command lines drawn by chance from the verbs' own options, with values that fit, nearly fit, or are nonsense.

PYTHONPATH=sim:tests python -m hard.words 8 SEED        # so many minutes of them, in a folder of its own; prints what fell over
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from random import Random

import click
from click.testing import CliRunner, Result

from hard.commands import HOP, RECORD, ROOT
from paddlebar.cli.main import main
from paddlebar.cli.verbs import VERBS

LINES = sorted(VERBS.keys() - {"bench"})  # which goes on until it is told to end
BRIEF = HOP.replace("duration_s = 2.0", "duration_s = 0.6")
KEYS = (
    "craft.bar.lead_deg", "craft.bar.gain", "skein.turns", "craft.rotor.blades", "craft.name", "craft.bar.kind", "launch.tilt_deg",
    "craft.part.stick.mass_g", "nonsense", "craft.bar", "craft.rotor.radius_mm", "air.wind_m_s", "run.duration_s", "craft.tail.pitch_deg", "",
    "craft.skein.strands", "launch.release", "craft.tail.drive", "craft.head.kind", "mishap", "run.rtol", "craft.shaft.turns",
)  # fmt: skip
NUMBERS = ("1", "2", "0", "-1", "0.5", "10", "100", "nan", "inf", "1e9", "1e-300", "1e308", "-0.0", "3", "7", "20", "30")  # fmt: skip
ODD = ("0.45", "90", "8", "120", "-1e9", "", "abc", "1,5", "3mm", "0x10", "1e400", "99999999999999999999", "true", "[1]", "1 2", "½", "٣")  # fmt: skip
# what would take long is given little to do
LITTLE = {"workers": "1", "samples": "0", "budget": "2"}
SAID = {
    "workers": ("1", "0", "-1", "x"),
    "samples": ("0", "1", "2", "3", "-1", "x"),
    "budget": ("1", "2", "0", "-1", "x"),
    "out": ("o", "/dev/null", "/dev/null/x", "a/b/c", "", "hop.toml", "é", "o\x01"),
}
FILES = (*["hop.toml"] * 24, "craft.toml", "rec.csv", "absent.toml", ".", "", "o", "/dev/null", "sparrow")
NEVER = {"help", "version", "film", "open"}  # a film takes minutes


def _number(chance: Random) -> str:
    return chance.choice((*NUMBERS, *ODD))


def _assignment(chance: Random) -> str:
    key, low, high = chance.choice(KEYS), _number(chance), _number(chance)
    return chance.choice(
        (
            f"{key}={low}:{high}:{chance.choice(('1', '2', '3', '0', '-1', '1.5', 'x', '1000000'))}",
            f"{key}={low}:{high}",
            f"{key}={low}",
            chance.choice(("=", "::", ":", "a=b=c", "craft.bar.gain=0.4:0.5:2", "skein.turns=100:130:2", "x" * 300)),
        )
    )


def _value(option: click.Option, chance: Random) -> str:
    if option.name in SAID:
        return chance.choice(SAID[option.name])
    if isinstance(option.type, click.Choice):
        return chance.choice((*option.type.choices, "nope"))
    if isinstance(option.type, click.types.FloatParamType | click.types.IntParamType):
        return chance.choice(NUMBERS)
    return _assignment(chance) if chance.random() < 0.85 else _number(chance)


def line(chance: Random) -> list[str]:
    """Words after `paddlebar`."""
    verb = chance.choice(LINES)
    command = main.get_command(click.Context(main), verb)
    assert command is not None
    words = [verb]
    for argument in (each for each in command.params if isinstance(each, click.Argument)):
        words += [chance.choice(FILES)] * (chance.random() < 0.97)
        words += [chance.choice(("hop.toml", "rec.csv"))] * (argument.name == "record" or chance.random() < 0.02)
    options = {each.name: each for each in command.params if isinstance(each, click.Option) and each.name not in NEVER}
    taken = [name for name, each in options.items() if chance.random() < (0.9 if each.required else 0.18)]
    for name in taken:
        words += [chance.choice(options[name].opts), *[_value(options[name], chance)] * (not options[name].is_flag)]
    for name, little in LITTLE.items():
        words += [f"--{name}", little] * (name in options and name not in taken)
    return words if "out" in taken or "out" not in options else [*words, "--out", f"out{chance.randint(0, 3)}"]


def prepare(folder: Path) -> None:
    """What the lines speak of."""
    shutil.copy(ROOT / "models" / "hall-ten.toml", folder / "craft.toml")
    (folder / "hop.toml").write_text(BRIEF, encoding="utf-8")
    (folder / "rec.csv").write_text(RECORD, encoding="utf-8")


def complaint(result: Result) -> str:
    """What is wrong with how a line ended, "" if nothing: an exit code of the three, no traceback, a sentence for what is refused."""
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        return f"fell over: {result.exception!r}"
    if result.exit_code not in (0, 1, 2):
        return f"exit code {result.exit_code}"
    if "Traceback" in result.output + result.stderr:
        return "a traceback"
    said = [each for each in result.stderr.splitlines() if each.strip() and " done: " not in each]
    usage = any(each.startswith("Usage: ") for each in said)
    return "" if result.exit_code != 2 or usage or len(said) == 1 else f"{len(said)} lines for what is refused"


def ask(words: list[str]) -> Result:
    return CliRunner().invoke(main, words, prog_name="paddlebar", input="")


def several(minutes: float, seed: int) -> None:
    codes: Counter[int] = Counter()
    chance = Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        prepare(Path(folder))
        end = time.monotonic() + 60.0 * minutes
        while time.monotonic() < end:
            words = line(chance)
            result = ask(words)
            codes[result.exit_code] += 1
            if said := complaint(result):
                print(said, words, flush=True)
        os.chdir("/")
    print(sum(codes.values()), "lines, by exit code", dict(codes))


if __name__ == "__main__":
    several(float(sys.argv[1]), int(sys.argv[2]))
