"""The scripts of the manual, each run as it stands there, in an empty folder."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from paddlebar.cli.manual import pages

SCRIPTS = re.findall(r"^\*\*(.+?)\*\*.*?^```python\n(.*?)^```$", pages()["scripts"].text, re.DOTALL | re.MULTILINE)


def test_each_has_its_words_and_is_short():
    assert len(SCRIPTS) == pages()["scripts"].text.count("```python")
    assert max(code.count("\n") for _, code in SCRIPTS) <= 20


@pytest.mark.slow
@pytest.mark.parametrize("code", [code for _, code in SCRIPTS], ids=[words for words, _ in SCRIPTS])
def test_it_runs(code, tmp_path: Path, monkeypatch, capsys):
    if "xarray" in code:
        pytest.importorskip("xarray")
        pytest.importorskip("h5netcdf")
    monkeypatch.chdir(tmp_path)
    exec(compile(code, "script", "exec"), {})
    said = capsys.readouterr().out
    assert "nan" not in said
    assert said or list(tmp_path.iterdir())
