"""The scripts on the pages about forces of one's own and linear models run as they stand, each in at most twenty lines."""

from __future__ import annotations

import contextlib
import io
from pathlib import Path

import pytest

from paddlebar.cli.manual import pages
from test_manual import ROOT, blocks_of

LONGEST = 20
SCRIPTS = [
    pytest.param(block.lines, id=f"{topic} {n}")
    for topic in ("forces", "linear")
    for n, block in enumerate(each for each in blocks_of(pages()[topic].text) if each.kind == "python")
]
SAYS = {"forces 1": "tipped over | still flying", "linear 0": "(14, 14) (14, 11)"}


@pytest.mark.slow
@pytest.mark.parametrize("lines", SCRIPTS)
def test_a_script_runs(lines: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, request) -> None:
    for folder in ("scenarios", "models"):
        (tmp_path / folder).symlink_to(ROOT / folder)
    monkeypatch.chdir(tmp_path)
    assert len([line for line in lines if line.strip()]) <= LONGEST
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(compile("\n".join(lines), "page", "exec"), {"__name__": "__main__"})
    assert "nan" not in said.getvalue()
    assert SAYS.get(request.node.callspec.id, "") in said.getvalue()
