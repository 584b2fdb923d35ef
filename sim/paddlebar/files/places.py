"""Reading TOML text, and knowing where each key was written (``tomllib`` gives values, but no lines)."""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Sequence
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any, Final, NamedTuple

from paddlebar.errors import BadInput

Key = tuple[str, ...]
"""A key by names: ("part", "nose-weight", "mass_g"), ("mishap", "1", "at_s"). Parts by name, see plain; other lists count from 1."""

LARGEST_MB: Final = 4  # of a file that is typed, or measured, by hand; own choice
DEEPEST: Final = 20  # tables in each other; a description has four

LONGEST_SHOWN: Final = 200  # signs of a key in a message
LONGEST_KEY: Final = 100  # words; a description has five

_PIECE = re.compile(r"[^\w\-. \t\"']")  # what ends a dotted key; numbers in a list are parted by commas
_HEADER = re.compile(r"^\s*(\[\[?)\s*(.+?)\s*\]\]?\s*$")
_ENTRY = re.compile(r"""^\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=(.*)$""")
_WORD = re.compile(r""""([^"]*)"|'([^']*)'|([\w-]+)""")
_QUOTED = re.compile(r'"""|\'\'\'|"(?:\\.|[^"\\])*"|\'[^\']*\'')


def plain(name: str) -> str:
    """A part's name as a key takes it without quotes: blanks are hyphens, "nose weight" is nose-weight."""
    return name.replace(" ", "-")


def place_named(word: str, names: Sequence[str | None]) -> int | None:
    """Which of a list's entries a word of a key means, by its name as it is or without blanks; None: none of them."""
    if word in names:
        return names.index(word)
    return next((at for at, name in enumerate(names) if name is not None and plain(name) == word), None)


def entry_at(word: str, names: Sequence[str | None]) -> int | None:
    """Which of a list's entries a word of a key means, by its name or by its number from 1; None: none of them."""
    at = place_named(word, names)
    numbered = word.isdigit() and 0 < int(word) <= len(names)
    return int(word) - 1 if at is None and numbered else at


class Place(NamedTuple):
    """Where a key stands: file, line (None: not in a file), and the key as it is written there."""

    file: str
    line: int | None
    key: str


class Places:
    """Where the keys of one description stand; a later layer (a scenario's change, --set) hides an earlier one."""

    def __init__(self, file: str = "description", known: dict[Key, Place] | None = None) -> None:
        self.file = file
        self.known = dict(known or {})

    def over(self, later: Places) -> Places:
        """These places with those of a later layer laid over them."""
        both = Places(self.file, self.known)
        for key, place in later.known.items():
            # a table that is only amended still belongs to its first file
            if not (key in later._below and key in both.known):
                both.known[key] = place
        return both

    def find(self, key: Key) -> Place:
        """Place of a key; of a key that was not written: of the table that should hold it."""
        key = tuple(map(plain, key))
        for length in range(len(key), 0, -1):
            place = self.known.get(key[:length])
            if place is not None:
                return place._replace(key=".".join((place.key, *key[length:])))
            child = self._below.get(key[:length])  # a list of tables has no line of its own, its first entry has
            if child is not None:
                place = self.known[child]
                written = place.key.removesuffix("." + ".".join(child[length:]))
                return place._replace(key=".".join((written, *key[length:])))
        return Place(self.file, None, ".".join(key))

    @cached_property
    def _below(self) -> dict[Key, Key]:
        """Of each table the key in it that was written first."""
        first: dict[Key, Key] = {}
        for key in self.known:
            for length in range(1, len(key)):
                first.setdefault(key[:length], key)
        return first

    def sentence(self, key: Key, rule: str) -> str:
        """``file:line: key: rule``, one line."""
        place = self.find(key)
        where = place.file if place.line is None else f"{place.file}:{place.line}"
        named = place.key if len(place.key) <= LONGEST_SHOWN else place.key[:LONGEST_SHOWN] + "..."
        return f"{where}: {named}: {rule}"


def read_text(path: Path, shown: str | None = None) -> str:
    """Text of a UTF-8 file; one clear error for one that is absent, a folder, a device or pipe, too large, unreadable or not UTF-8."""
    shown = shown or str(path)
    try:
        found = path.stat()
        if not (stat.S_ISREG(found.st_mode) or stat.S_ISDIR(found.st_mode)):
            raise BadInput(f"{shown}: is a device or a pipe, a file was expected")
        if found.st_size > LARGEST_MB * 1_000_000:
            raise BadInput(f"{shown}: has {found.st_size / 1e6:.0f} MB, at most {LARGEST_MB} are read")
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise BadInput(f"{shown}: no such file") from None
    except IsADirectoryError:
        raise BadInput(f"{shown}: is a folder, a file was expected") from None
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise BadInput(f"{shown}:{line}: is not UTF-8 text (byte {error.start})") from None
    except BadInput:
        raise
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        raise BadInput(f"{shown}: cannot be read ({getattr(error, 'strerror', None) or error})") from None


def parse(text: str, file: str) -> tuple[dict[str, Any], Places]:
    """Raw tables of a TOML text, lists as tuples, and the places of their keys."""
    raw, places = _parsed(text, file)
    return dict(raw), places


@lru_cache(maxsize=4)  # a study reads one text hundreds of times, with other changes laid over it
def _parsed(text: str, file: str) -> tuple[dict[str, Any], Places]:
    try:
        if _is_endless(text):
            raise RecursionError
        raw = frozen_lists(tomllib.loads(text))
    except RecursionError:
        raise BadInput(f"{file}: is no description: tables or lists in each other, without end") from None
    except ValueError as error:  # also a whole number of thousands of digits
        found = re.search(r"^(.*) \(at (?:line (\d+), column \d+|end of document)\)$", str(error).replace("\n", " "))
        rule = found[1] if found else str(error)
        line = found[2] if found and found[2] else str(text.count("\n") + 1)
        raise BadInput(f"{file}:{line}: is not TOML: {rule[:1].lower()}{rule[1:]}") from None
    known = {named(key, raw): Place(file, line, ".".join(named(key, raw))) for key, line in scan(text).items()}
    return raw, Places(file, known)


def _is_endless(text: str) -> bool:
    """A key of hundreds of words: tomllib takes the square of their number, hours for what fits into a file."""
    return any(
        piece.count(".") > LONGEST_KEY
        for line in text.splitlines()
        if line.count(".") > LONGEST_KEY and not line.lstrip().startswith("#")
        for piece in _PIECE.split(line)
    )


def frozen_lists(value: Any, depth: int = 0) -> Any:
    """Lists to tuples, all the way down: descriptions are frozen. Raises RecursionError beyond DEEPEST."""
    if depth > DEEPEST:
        raise RecursionError
    if isinstance(value, dict):
        return {key: frozen_lists(each, depth + 1) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return tuple(frozen_lists(each, depth + 1) for each in value)
    return value


def named(path: tuple[str | int, ...], raw: Any) -> Key:
    """A path with list numbers, as names: a part by its name, anything else in a list counted from 1."""
    words: list[str] = []
    here = raw
    for step in path:
        if isinstance(step, int):
            here = here[step] if isinstance(here, tuple) and step < len(here) else None
            name = here.get("name") if words[-1:] == ["part"] and isinstance(here, dict) else None
            words.append(plain(name) if isinstance(name, str) and name else str(step + 1))
        else:
            here = here.get(step) if isinstance(here, dict) else None
            words.append(step)
    return tuple(words)


def scan(text: str) -> dict[tuple[str | int, ...], int]:
    """Line number of every ``key =`` and ``[table]``, by path; entries of ``[[table]]`` numbered from 0."""
    lines: dict[tuple[str | int, ...], int] = {}
    counts: dict[tuple[str | int, ...], int] = {}
    table: tuple[str | int, ...] = ()
    depth, quote = 0, ""
    for number, line in enumerate(text.splitlines(), start=1):
        if quote:  # inside a text of several lines
            if quote in line:
                quote = ""
            continue
        bare, quote = _without_texts(line)
        entry, header = (_ENTRY.match(line), _HEADER.match(line.split("#")[0])) if depth == 0 else (None, None)
        if header and not entry:
            table = _numbered(_words(header[2]), counts, new=header[1] == "[[")
            lines.setdefault(table, number)
            continue
        if entry:
            lines.setdefault(table + _words(entry[1]), number)
        depth = max(0, depth + sum(bare.count(sign) for sign in "[{") - sum(bare.count(sign) for sign in "]}"))
    return lines


def _without_texts(line: str) -> tuple[str, str]:
    """The line without quoted texts and comment, and the triple quote that it leaves open, if any."""
    open_quote = ""
    bare = ""
    at = 0
    for found in _QUOTED.finditer(line):
        if not open_quote:
            bare += line[at : found.start()]
            if "#" in bare:
                break
        at = found.end()
        if len(found[0]) == 3 and found[0] in ('"""', "'''"):
            open_quote = "" if open_quote == found[0] else (open_quote or found[0])
    if not open_quote:
        bare += line[at:]
    return bare.split("#")[0], open_quote


def _words(dotted: str) -> tuple[str, ...]:
    return tuple(a or b or c for a, b, c in _WORD.findall(dotted))


def _numbered(words: tuple[str, ...], counts: dict[tuple[str | int, ...], int], *, new: bool) -> tuple[str | int, ...]:
    """Path of a table header, with the number of the newest entry after each word that is a list of tables."""
    path: tuple[str | int, ...] = ()
    for place, word in enumerate(words, start=1):
        path += (word,)
        if new and place == len(words):
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path += (counts[path],)
    return path
