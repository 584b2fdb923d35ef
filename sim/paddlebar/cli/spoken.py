"""What the package calls an argument, the command line calls an option: errors say the word that was typed."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Final

OPTIONS: Final = {
    "overrides": "--set",
    "x": "--x",
    "y": "--y",
    "by": "--by",
    "vary": "--vary",
    "budget": "--budget",
    "wanted": "--for",
    "shares": "--at",
    "keys": "--key",
    "samples": "--samples",
    "unknowns": "--unknown",
    "builds": "--builds",
    "path": "--film",
    "speed": "--speed",
    "start": "--from",
    "stop": "--to",
    "start, stop": "--from, --to",
}
_FIRST: Final = re.compile(r"(?:limits\.(\w+)|([\w, ]+)): ")
_LATER: Final = re.compile(r"\b(by|and|in) overrides\b")


def spoken(sentence: str, files: Collection[str] = ()) -> str:
    """An error of the package in the words of the command line.

    files : what was typed as a file: a sentence about one that is called like an argument stays as it is
    """
    first = _FIRST.match(sentence)
    if first and first[1]:
        sentence = f"--{first[1]}: {sentence[first.end() :]}"
    elif first and first[2] in OPTIONS and first[2] not in files:
        sentence = f"{OPTIONS[first[2]]}: {sentence[first.end() :]}"
    return _LATER.sub(r"\1 --set", sentence)
