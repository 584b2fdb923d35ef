"""From strands to section, breaking turns, loss and warmth. Published turns and energies: tests/reference/test_rubber.py.

Broken : h = loss/2; the reference temperature left out: each refused here.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pytest
import tomlkit
from scipy.integrate import solve_ivp

from paddlebar.craft import rubber
from paddlebar.craft.motors import motor_of
from paddlebar.errors import BadInput
from paddlebar.files import parse_craft
from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.files.scenario import Air
from paddlebar.physics import skein as law
from reference.rig import PLAIN as PLAIN_CRAFT

PLAIN: dict[str, Any] = {
    "strands": 6,
    "width_mm": 2.0,
    "thickness_mm": 1.0,
    "length_mm": 200.0,
    "hooks_mm": ((0.0, 0.0, -20.0), (0.0, 0.0, -200.0)),
}
WARM = 293.15


def curve(temperature: float = WARM, **keys: Any) -> Any:
    """Record of the skein's motor, by attribute."""
    return motor_of(Skein(**{**PLAIN, **keys}), temperature).record.view(np.recarray)[0]


def test_strip_and_weighed_skein_are_the_same_rubber() -> None:
    """6 strands of 2 x 1 mm: 12 mm2; 200 mm at 930 kg/m3: 2.232 g."""
    strips = curve()
    weighed = curve(strands=None, width_mm=None, thickness_mm=None, mass_g=2.232)
    assert strips.section == pytest.approx(12e-6, rel=1e-12)
    metre = curve(width_mm=None, thickness_mm=None, linear_density_g_m=1.86)  # 2 mm2 x 930 kg/m3
    for name in ("breaking", "plateau", "section", "settle"):
        assert getattr(weighed, name) == pytest.approx(getattr(strips, name), rel=1e-12)
        assert getattr(metre, name) == pytest.approx(getattr(strips, name), rel=1e-12)


@pytest.mark.parametrize(
    ("change", "mass"),
    [
        ({"linear_density_g_m": 2.0}, 6 * 2.0 * 0.2),
        ({"linear_density_g_m": 2.0, "strands": 8}, 8 * 2.0 * 0.2),
        ({"mass_g": 2.5}, 2.5),
        ({"strands": 4, "width_mm": 3.0, "thickness_mm": 1.0}, 4 * 3.0 * 200.0 * 930e-6),
    ],
)
def test_a_change_may_give_the_skein_another_way(change: dict[str, Any], mass: float) -> None:
    """From strip to a metre's weight, to the scale, and back: the entries of the way before go."""
    made = parse_craft(
        tomlkit.dumps({**PLAIN_CRAFT, "skein": STRIP}), overrides={f"skein.{k}": v for k, v in change.items()}
    )
    assert skein_mass_g(made.skein) == pytest.approx(mass, rel=1e-12)


@pytest.mark.parametrize("loss", [0.0, 0.1, 0.3, 0.6])
def test_half_width_of_the_loop_gives_back_the_loss(loss: float) -> None:
    """In (1 + h), out (1 - h): 1 - out/in = loss."""
    h = rubber.half_loss(loss)
    assert 1.0 - (1.0 - h) / (1.0 + h) == pytest.approx(loss, abs=1e-14)


@pytest.mark.parametrize("backed_off", [0.0, 5.0, 40.0, 500.0])
def test_backing_off_is_the_law_of_the_set(backed_off: float) -> None:
    found = solve_ivp(
        lambda _, z: [law.set_rate(z[0], -1.0, 24.0)], (0.0, max(backed_off, 1e-9)), [1.0], rtol=1e-10, atol=1e-12
    )
    assert rubber.set_after_backing_off(backed_off, 24.0) == pytest.approx(found.y[0, -1], abs=1e-8)


def test_warm_rubber_pulls_harder_by_the_percentage_given() -> None:
    """0.5 % a kelvin by default, from 20 C; breaking turns are left."""
    assert curve(WARM + 10.0).plateau == pytest.approx(1.05 * curve().plateau, rel=1e-12)
    assert curve(WARM + 10.0, percent_per_K=0.0).plateau == pytest.approx(curve().plateau, rel=1e-12)
    assert curve(WARM - 8.0, percent_per_K=1.0, reference_C=12.0).plateau == pytest.approx(curve().plateau, rel=1e-12)
    assert curve(WARM + 10.0).breaking == curve().breaking


def ends(model: Any, key: str) -> tuple[float, float]:
    """The range that a file may give a key."""
    found = model.model_fields[key].metadata
    return next(each.ge for each in found if hasattr(each, "ge")), next(
        each.le for each in found if hasattr(each, "le")
    )


def test_no_warmth_or_cold_that_files_allow_turns_torque_round() -> None:
    """1 % a kelvin over the 90 K between the ends of air.temperature_C and reference_C leaves a tenth of the torque."""
    corners = product(ends(Skein, "percent_per_K"), ends(Air, "temperature_C"), ends(Skein, "reference_C"))
    shares = []
    for percent, temperature, reference in corners:
        made = Skein(**PLAIN, percent_per_K=percent, reference_C=reference)
        shares.append(rubber.warmth(made, 273.15 + temperature))
        assert motor_of(made, 273.15 + temperature).torque(100.0, -1.0) > 0.0
    assert min(shares) == pytest.approx(0.1, rel=1e-9)
    assert max(shares) == pytest.approx(1.9, rel=1e-9)


STRIP: dict[str, Any] = {
    "strands": 6,
    "width_mm": 2,
    "thickness_mm": 1,
    "length_mm": 200,
    "hooks_mm": [[0, 0, -20], [0, 0, -200]],
}


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"strands": 0}, "strands"),
        ({"length_mm": -1}, "length_mm"),
        ({"loss_percent": 150}, "loss_percent"),
        ({"mass_g": 2}, "mass_g"),
        ({"linear_density_g_m": 2}, "linear_density_g_m"),
        ({"width_mm": 0}, "width_mm"),
        ({"percent_per_K": 5}, "percent_per_K"),
    ],
)
def test_impossible_skein_is_one_clear_line(change: dict[str, Any], word: str) -> None:
    whole = {**PLAIN_CRAFT, "skein": {**STRIP, **change}}
    with pytest.raises(BadInput) as caught:
        parse_craft(tomlkit.dumps(whole))
    assert word in str(caught.value)
    assert "\n" not in str(caught.value)
