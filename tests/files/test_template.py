"""What ``new`` hands out loads as it stands, explains every key, and warns."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import BaseModel

from paddlebar.craft.limits import check_limits
from paddlebar.errors import BadInput
from paddlebar.files import load_scenario, new_files
from paddlebar.files.craft import Craft
from paddlebar.files.explained import Explained, craft_explanations, keys_of, scenario_explanations
from paddlebar.files.scenario import Scenario


def test_new_files_load_and_keep_within_limits(tmp_path: Path) -> None:
    files = new_files("my-first")
    assert list(files) == ["my-first.toml", "my-first-first-flight.toml"]
    for file, text in files.items():
        (tmp_path / file).write_text(text, encoding="utf-8")
    flight = load_scenario(tmp_path / "my-first-first-flight.toml")
    check_limits(flight)
    assert flight.craft.name == "my-first"


@pytest.mark.parametrize(
    ("model", "known"), [(Craft, craft_explanations()), (Scenario, scenario_explanations())], ids=["craft", "scenario"]
)
def test_every_key_is_explained_in_one_line(model: type[BaseModel], known: dict[tuple[str, str], Explained]) -> None:
    """Keys as the classes have them, against the template: none unexplained, none explained that is not there."""
    keys = {(key.table, key.name) for key in keys_of(model) if key.table.split(".")[0] != "craft"}
    assert len(keys) > 50
    assert {key for key in keys if len(known.get(key, Explained("", may_go=False)).words) < 4} == set()
    assert {key for key in known if key not in keys and key[1] != "craft" and not key[0].startswith("change")} == set()


def test_no_key_that_is_demanded_is_said_to_be_dispensable() -> None:
    for model, known in ((Craft, craft_explanations()), (Scenario, scenario_explanations())):
        demanded = [key for key in keys_of(model) if key.table.split(".")[0] != "craft" and key.field.is_required()]
        assert len(demanded) > 1
        assert [key for key in demanded if known[key.table, key.name].may_go] == []


@pytest.mark.parametrize("word", ["eye protection", "arm's length", "adult", "INVENTED", "carries"])
def test_both_files_carry_the_cautions(word: str) -> None:
    for text in new_files("x").values():
        assert word in text.replace("\n# ", " ")


@pytest.mark.parametrize("name", ["", "../x", "a b", ".x", "x.toml", "x" * 80, "ü"])
def test_a_name_that_makes_no_file_name_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match="^new: name: "):
        new_files(name)
