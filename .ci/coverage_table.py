"""Lines that were run, a subpackage a row, from coverage's JSON; exit 1 below 95 % of the package or 100 % of the equations."""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

PACKAGE = "sim/paddlebar/"
LEAST = {"physics": 1.0, "whole": 0.95}


def table(files: dict[str, dict[str, dict[str, int]]]) -> dict[str, tuple[int, int]]:
    """Lines run and lines there are of each subpackage and of the whole."""
    run, there = Counter[str](), Counter[str]()
    for name, file in files.items():
        inside = name.removeprefix(PACKAGE).split("/")
        for part in (inside[0] if len(inside) > 1 else "top", "whole"):
            run[part] += file["summary"]["covered_lines"]
            there[part] += file["summary"]["num_statements"]
    return {part: (run[part], there[part]) for part in [*sorted(there.keys() - {"whole"}), "whole"]}


def main(source: Path) -> int:
    rows = table(json.loads(source.read_text(encoding="utf-8"))["files"])
    print(f"\n{'':12}{'lines':>7}{'not run':>9}{'%':>8}")
    for part, (run, there) in rows.items():
        print(f"{part:12}{there:7}{there - run:9}{100.0 * run / there:8.1f}")
    short = [part for part, least in LEAST.items() if rows[part][0] < least * rows[part][1]]
    for part in short:
        print(f"{part}: less than {100.0 * LEAST[part]:g} % of its lines were run")
    return 1 if short else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
