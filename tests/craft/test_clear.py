"""What turns and strikes something is refused, in one line that names file, key and value; what is near is not.

Broken : stop left out; hinge offset left out; the change blamed for what the file had wrong itself: each refused here.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from paddlebar import api
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft

GOOD = Path(__file__).parents[1] / "files" / "good" / "craft.toml"
LOW_BOOM = {"part__boom__from_mm": [8, 0, -20], "part__boom__to_mm": [-250, 0, -20]}


def changed(file: Path = GOOD, **overrides: Any) -> Craft:
    """The good craft with changes; "__" stands for the dot."""
    return api.load_craft(file, {key.replace("__", "."): value for key, value in overrides.items()})


def test_a_locked_bar_does_not_tilt_into_the_boom() -> None:
    with pytest.raises(BadInput, match="bar longer than clearance: it strikes part boom"):
        changed(**LOW_BOOM)
    assert changed(**LOW_BOOM, bar__kind="locked").bar.kind == "locked"
    assert changed(**LOW_BOOM, bar__kind="none").bar.kind == "none"


def test_clearance_of_the_bar_turns_at_the_angle_of_its_stop() -> None:
    # The boom passes 34 mm below the bar's hinge; the tip mass has 2 mm radius, the boom 1.25: at 80 mm the tip comes
    # within reach when 80 sin(stop) + 3.25 / cos(stop) is about 34, i.e. near 22.8 deg.
    angle = next(a for a in range(1, 89) if 80 * math.sin(math.radians(a)) + 3.25 / math.cos(math.radians(a)) > 34)
    assert changed(**LOW_BOOM, bar__stop_deg=float(angle - 2)).bar.stop_deg == angle - 2
    with pytest.raises(BadInput, match="bar longer than clearance"):
        changed(**LOW_BOOM, bar__stop_deg=float(angle + 2))


def test_the_teeter_stop_decides_whether_the_rotor_reaches_the_tail() -> None:
    near = {"tail__at_mm": [-220, -6, -80]}
    assert changed(**near, head__stop_deg=5.0).tail is not None
    with pytest.raises(BadInput, match="rotor strikes the tail rotor"):
        changed(**near, head__stop_deg=25.0)
    assert changed(**near, head__stop_deg=25.0, head__kind="rigid").tail is not None


def test_a_blade_on_its_own_hinge_reaches_down_from_there() -> None:
    """At 12 deg a tip comes 200 sin 12 = 41.6 mm down, from a hinge 20 mm out 180 sin 12 = 37.4: a tail whose disc begins 39.5 mm below
    the hub, near the tip, is met in the first case alone."""
    near = {"tail__at_mm": [-190, -6, -84.5], "tail__radius_mm": 45.0, "head__stop_deg": 12.0}
    with pytest.raises(BadInput, match="rotor strikes the tail rotor"):
        changed(**near)
    assert changed(**near, head__kind="flapping", head__hinge_offset_mm=20.0).head.hinge_offset_mm == 20.0


def test_a_point_inside_what_the_bar_sweeps_is_met_though_it_has_no_thickness() -> None:
    inside = {"kind": "point", "at_mm": [0, 50, 14], "mass_g": 0.01}
    for tilt in (0.0, 3.0, -7.0):  # of the shaft: rounding of another kind each
        with pytest.raises(BadInput, match="it strikes part peg, "):
            changed(part__peg=inside, shaft__tilt_right_deg=tilt)


def test_a_file_that_strikes_by_itself_is_not_blamed_on_the_change(tmp_path: Path) -> None:
    """Its own line, without a word on the change; a change that spoils a good file is named."""
    text = GOOD.read_text(encoding="utf-8").replace("from_mm = [8, 0, -100]", "from_mm = [8, 0, -20]")
    file = tmp_path / "low.toml"
    file.write_text(text.replace("to_mm = [-250, 0, -100]", "to_mm = [-250, 0, -20]"), encoding="utf-8")
    with pytest.raises(BadInput, match="it strikes part boom") as alone:
        changed(file)
    with pytest.raises(BadInput) as with_change:
        changed(file, bar__gain=0.3)
    assert str(with_change.value) == str(alone.value)
    assert "as changed by" not in str(alone.value)
    with pytest.raises(BadInput, match=r"craft\.toml:\d+: bar\.arm_mm: .* \(as changed by overrides\)$"):
        changed(**LOW_BOOM)
    flight = tmp_path / "flight.toml"
    flight.write_text(f'craft = "{GOOD}"\n[skein]\nturns = 100\n[launch]\nheight_m = 1\n[change.bar]\nstop_deg = 80\n', encoding="utf-8")  # fmt: skip
    with pytest.raises(BadInput, match=r"bar\.arm_mm: .*stop_deg 80.*\(as changed by .*flight\.toml\)$"):
        api.load_scenario(flight)
