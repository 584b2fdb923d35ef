"""The register of what may be changed: each row is a key that is there, its ends are possible or refused in a line, and nobody keeps another table."""

from __future__ import annotations

import ast
import math
from pathlib import Path

import pytest

from paddlebar import load_craft, load_scenario
from paddlebar.craft.knob import NAME
from paddlebar.craft.knobs import KNOBS, SWITCHES, hand_moves, heaviest, knob_at, knobs, prior, usual
from paddlebar.craft.one_by_one import one_by_one
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.files.keys import number_at, value_at
from paddlebar.studies.axes import changed, nearest_allowed

ROOT = Path(__file__).parents[2]
SCENARIOS = sorted((ROOT / "scenarios").glob("*.toml"))
FIRST = ROOT / "scenarios" / "first-flight.toml"


def refusal(text: str, change: dict[str, object]) -> str:
    """What the file says against a change; nothing if it allows it."""
    try:
        changed(text, change, may_break=True)
    except BadInput as error:
        return str(error)
    return ""


@pytest.fixture(scope="module")
def first():
    return load_scenario(FIRST)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_key_exists_and_holds_a_number(path):
    scenario = load_scenario(path)
    found = knobs(scenario)
    assert len({knob.key for knob in found}) == len(found) > 80
    for knob in found:
        value = value_at(scenario, knob.key)
        assert isinstance(value, int | float), knob.key
        assert not isinstance(value, bool), knob.key
        assert math.isfinite(knob.own(scenario)), knob.key
        assert NAME not in knob.key + knob.noun + knob.more + knob.less
        if not knob.whole(scenario):
            assert number_at(scenario, knob.key, "-").value == value


@pytest.mark.parametrize(
    "path",
    [FIRST, ROOT / "scenarios" / "printed-first.toml", ROOT / "scenarios" / "no-bar.toml"],
    ids=lambda path: path.stem,
)
def test_both_ends_of_a_range_are_possible_or_refused_in_one_line(path):
    scenario = load_scenario(path)
    text = scenario.effective_toml()
    searched = [knob for knob in knobs(scenario) if knob.search is not None]
    assert len(searched) >= 20
    for knob in searched:
        own, whole = knob.own(scenario), knob.whole(scenario)
        low, high = knob.range(scenario)
        assert low <= own <= high, knob.key
        assert low < high, knob.key
        for end in (low, high):
            said = refusal(text, {knob.key: round(end) if whole else end})
            assert "\n" not in said
            assert not said or knob.key.removeprefix("craft.").split(".")[0] in said
            nearest = nearest_allowed(text, knob.key, own, end, whole=whole, may_break=True)
            changed(text, {knob.key: round(nearest) if whole else nearest}, may_break=True)
            assert min(own, end) <= nearest <= max(own, end)


@pytest.mark.parametrize("path", [FIRST, ROOT / "scenarios" / "printed-first.toml"], ids=lambda path: path.stem)
def test_a_hands_moves_are_changes_and_are_refused_in_one_line_if_they_cannot_be(path):
    scenario = load_scenario(path)
    text = scenario.effective_toml()
    moves = hand_moves(scenario)
    possible = 0
    for move in moves:
        assert move.value != move.was, move.key
        said = refusal(text, {move.key: move.value})
        assert "\n" not in said
        possible += not said
    assert possible > 0.8 * len(moves)
    by_key: dict[str, set[float]] = {}
    for move in moves:
        if move.size:
            by_key.setdefault(move.key, set()).add(math.copysign(1.0, move.value - move.was))
    assert set(map(frozenset, by_key.values())) == {frozenset({-1.0, 1.0})}  # both ways, always


def test_a_setting_is_what_set_takes(first):
    from paddlebar.files.override import parse_setting

    for move in hand_moves(first):
        key, value = parse_setting(move.setting)
        assert (key, value) == (move.key, pytest.approx(move.value) if isinstance(move.value, float) else move.value)


def test_large_is_larger_than_small_and_both_are_more_than_the_tolerance(first):
    for knob in knobs(first):
        own = knob.own(first)
        if knob.small is not None and knob.large is not None:
            assert knob.small.of(own) <= knob.large.of(own), knob.key
            if knob.tolerance is not None and knob.small.of(own) > 0.0:
                assert knob.small.of(own) >= 0.99 * knob.tolerance.of(own), knob.key


def test_words_say_what_a_hand_does(first):
    words = {move.words for move in hand_moves(first)}
    assert "turn every blade to more pitch: blade pitch from 9 to 10 deg" in words
    assert "move nose weight to the left: place of nose weight, to the right from 0 to -3 mm" in words
    assert "take strands out: strands from 6 to 5" in words
    assert "turn the pitch of the tail's blades round, so that it pushes to the left" in words
    assert "reverse the linkage: bar.gain from 0.46 to -0.46" in words


def test_a_craft_has_only_what_a_flight_of_it_asks_for():
    def keys(**changes):
        return {knob.key for knob in knobs(load_scenario(FIRST, {k.replace("__", "."): v for k, v in changes.items()}))}

    whole = keys()
    assert {"craft.bar.gain", "craft.tail.drive_pulley_mm", "craft.head.delta3_deg", "craft.skein.strands"} <= whole
    assert not any(key.startswith("craft.bar.") for key in keys(craft__bar__kind="none"))
    locked = keys(craft__bar__kind="locked")
    assert "craft.bar.arm_mm" in locked
    assert not {"craft.bar.gain", "craft.bar.lead_deg", "craft.bar.friction_mN_m"} & locked
    assert not any(key.startswith("craft.tail.") for key in keys(craft__tail__drive="none"))
    rigid = keys(craft__head__kind="rigid")
    assert "craft.head.precone_deg" in rigid
    assert "craft.head.delta3_deg" not in rigid
    measured = keys(craft__skein__measured=[[0, 0.5], [200, 2.0], [400, 3.0], [600, 5.0]])
    assert not {"craft.skein.width_mm", "craft.skein.energy_kJ_kg", "craft.skein.length_mm"} & measured
    assert "skein.turns" in measured


def test_a_bar_that_is_locked_can_be_freed_and_one_that_tilts_cannot(first):
    assert "craft.bar.kind" not in {switch.key for switch in SWITCHES if switch.has(first)}
    locked = load_scenario(FIRST, {"craft.bar.kind": "locked"})
    (free,) = [switch.move(locked) for switch in SWITCHES if switch.has(locked) and switch.key == "craft.bar.kind"]
    assert free.setting == "craft.bar.kind=seesaw"


def test_every_lump_may_be_ballast(first):
    offered = {move.key for move in hand_moves(first)}
    for part in first.craft.part:
        moved = {f"craft.part.{part.name}.{what}" for what in ("mass_g", "at_mm.1", "at_mm.2")}
        assert (moved <= offered) == (part.kind == "point"), part.name
    assert heaviest(first.craft) == ("nose weight",)


def test_what_verbs_vary_where_nothing_is_named(first):
    for verb in ("rank", "improve"):
        keys = {knob.key for knob in usual(first, verb)}
        assert {"craft.shaft.tilt_right_deg", "craft.shaft.tilt_forward_deg", "craft.tail.radius_mm"} <= keys
        assert "craft.part.nose weight.at_mm.2" in keys
        assert not any("bearing" in key for key in keys)
    assert {knob.key for knob in usual(first, "match")} == {
        "craft.skein.energy_kJ_kg", "craft.rotor.collective_deg", "craft.rotor.drag_factor",
        "craft.airframe_drag_factor", "craft.bar.friction_mN_m",
    }  # fmt: skip
    assert all(knob.tolerance is not None for knob in usual(first, "rank") if knob.key != "craft.skein.strands")
    assert all(knob.search is not None for knob in usual(first, "improve"))
    assert all(knob.sd(knob.own(first)) > 0.0 for knob in usual(first, "match"))


def test_a_key_that_nobody_may_change_has_no_row(first):
    assert knob_at(first, "run.rtol") is None
    assert prior("craft.bar.lead_deg") == 2.0  # the tolerance, where a row has no prior of its own
    assert prior("craft.skein.loss_percent") == 8.0
    for key in ("craft.bar.friction_mN_m", "craft.tail.cord_tension_mN", "run.rtol"):
        with pytest.raises(LookupError):
            prior(key)


@pytest.mark.parametrize("path", sorted((ROOT / "models").glob("*.toml")), ids=lambda path: path.stem)
def test_every_measure_of_a_craft_has_a_row(path):
    """What a builder weighs or measures in g, mm or deg; left out is what is a place of another thing or is seen only in a look at the craft."""
    craft = load_craft(path)
    rows = {row.key.removeprefix("craft.") for row in KNOBS}
    apart = {
        "shaft.hub_diameter_mm", "rotor.thickness_mm", "skein.hooks_mm", "skein.measured", "tail.root_mm",
        "tail.cord_wrap_deg", "tail.drive_pulley_at_mm", "shaft.hub_mm",
    }  # fmt: skip
    for table in ("shaft", "rotor", "head", "bar", "skein", "tail"):
        for key, value in getattr(craft, table):
            name = f"{table}.{key}"
            if isinstance(value, int | float) and not isinstance(value, bool) and key.endswith(("_g", "_mm", "_deg")):
                assert name in rows or name in apart, name
    assert isinstance(craft, Craft)


def test_blades_and_tips_are_turned_one_by_one_where_a_file_or_a_study_names_them(first):
    apart = {
        f"craft.{key}.{n}"
        for key in ("rotor.blade_masses_g", "rotor.blade_pitches_deg", "bar.tip_masses_g")
        for n in (1, 2)
    }
    named = one_by_one(first)
    assert not apart & {knob.key for knob in knobs(first)}
    assert apart <= {knob.key for knob in knobs(named)}
    both = {knob.key for knob in usual(named, "rank", "builds")}
    assert both - {knob.key for knob in usual(named, "rank")} == {key for key in apart if key.endswith("2")}
    for key in apart:
        knob = knob_at(named, key)
        assert knob is not None
        assert number_at(named, key, "-").value == knob.own(named)
    assert number_at(named, "craft.rotor.blade_pitches_deg.1", "-").low == -40.0
    assert one_by_one(named) == named
    assert knob_at(one_by_one(load_scenario(FIRST, {"craft.bar.kind": "none"})), "craft.bar.tip_masses_g.1") is None


# ---- no second table -----------------------------------------------------------------------------------------------------------


def amount(node: ast.AST) -> bool:
    """A number, or a row or a call of some."""
    if isinstance(node, ast.UnaryOp):
        node = node.operand
    if isinstance(node, ast.Constant):
        return isinstance(node.value, int | float) and not isinstance(node.value, bool)
    if isinstance(node, ast.Call):  # Size(1.0), not round(what was worked out, 1)
        return bool(node.args) and all(amount(cell) for cell in node.args)
    return isinstance(node, ast.Tuple | ast.List) and any(amount(cell) for cell in node.elts)


def tables(path: Path) -> list[tuple[int, str]]:
    """Tables of a module that give numbers to keys of the register: line and first key."""
    words = {
        word
        for row in KNOBS
        for word in (row.key, row.key.removeprefix("craft."), row.key.split(".at_mm")[0].rsplit(".", 1)[-1])
    }
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        pairs: list[tuple[ast.AST | None, list[ast.AST]]] = []
        if isinstance(node, ast.Dict):
            pairs = [(key, [value]) for key, value in zip(node.keys, node.values, strict=True)]
        elif isinstance(node, ast.Tuple | ast.List):
            rows = [each for each in node.elts if isinstance(each, ast.Tuple | ast.List | ast.Call)]
            cells = [each.args if isinstance(each, ast.Call) else each.elts for each in rows]
            pairs = [(each[0], list(each[1:])) for each in cells if len(each) > 1]
        keys = [
            key.value
            for key, values in pairs
            if isinstance(key, ast.Constant) and key.value in words and any(map(amount, values))
        ]
        if len(keys) > 1:
            found.append((node.lineno, str(keys[0])))
    return found


def test_nobody_keeps_another_table_of_tolerances_or_ranges():
    """Dictionaries and tables of rows whose keys are those of the register and whose values are numbers."""
    allowed = {
        "craft/knobs.py": "the register",
        "files/template.py": "the craft that is written out to begin with",
        "sheet/testplan.py": "widths of columns on paper",
        "files/flight_record.py": "the least that a record may hold",
        "checks/skein_test.py": "from where to where the shape of a torque curve is looked for",
    }
    package = ROOT / "sim" / "paddlebar"
    found = {
        str(path.relative_to(package)): tables(path)
        for path in package.rglob("*.py")
        if "page" not in path.parts and tables(path)
    }
    assert {name: where for name, where in found.items() if name not in allowed} == {}
    assert set(found) == set(allowed)  # who no longer needs to be here goes
