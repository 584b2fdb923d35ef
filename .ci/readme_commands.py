"""Print the commands of README's first shell block, one a line: CI runs what the reader is told to type."""

from __future__ import annotations

import re
import sys
from pathlib import Path

WANTED = 2


def commands(text: str) -> list[str]:
    """Lines of the first ```sh block that are no comments."""
    block = re.search(r"^```sh\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)
    lines = block[1].splitlines() if block else []
    return [line for line in lines if line.strip() and not line.startswith("#")]


if __name__ == "__main__":
    found = commands(Path(sys.argv[1]).read_text(encoding="utf-8"))
    if len(found) != WANTED:
        sys.exit(f"README's first shell block should hold {WANTED} commands, it holds {len(found)}")
    print("\n".join(found))
