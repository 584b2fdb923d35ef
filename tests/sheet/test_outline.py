"""What is drawn on paper stands where the equations have it: outlines in space, and the plan of the head.

Broken : lead or hand reversed in sheet/outline.py, in sheet/head.py, in sheet/blade.py, one at a time; the plan seen from below: each
refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from craft.test_shape import CASES, MODELS, drawn, place_of, state_at
from paddlebar.files.load import load_craft
from paddlebar.sheet import blade, head
from paddlebar.sheet.outline import Shape, shapes
from paddlebar.sheet.page import Page
from paddlebar.sheet.views import from_above, from_the_right

Array = NDArray[np.float64]


def on_paper(place: Array) -> Array:
    """Body axes [m] as files have them [mm]."""
    x, y, z = place
    return np.array([1e3 * x, 1e3 * y, -1e3 * z])


def of(found: list[Shape], item: str, look: str) -> list[Array]:
    return [np.array(shape.points) for shape in found if (shape.item, shape.look) == (item, look)]


@pytest.mark.parametrize(("seed", "head", "turns"), CASES)
def test_the_bar_is_drawn_where_the_equations_have_it(seed: int, head: str, turns: str) -> None:
    craft, numbers, _ = drawn(seed, head, turns)
    found, bar = shapes(craft), craft.bar
    y = state_at(0.0, 0.0, np.zeros(int(numbers.params[0]["flaps"])))
    tips = [on_paper(place_of("bar_mass", numbers, y, bar_centre=(s * 1e-3 * bar.arm_mm, 0, 0))) for s in (1, -1)]
    (wire,) = of(found, "bar", "rod")
    assert wire == pytest.approx(np.array(tips), abs=1e-9)
    assert np.concatenate(of(found, "bar", "ball")) == pytest.approx(np.array(tips), abs=1e-9)
    inner, outer = (1e-3 * (bar.paddle_centre_mm + s * bar.paddle_span_mm) for s in (-0.5, 0.5))
    c, s = (0.5e-3 * bar.paddle_chord_mm * f(math.radians(bar.paddle_incidence_deg)) for f in (math.cos, math.sin))
    for side, paddle in zip((1, -1), of(found, "bar", "blade"), strict=True):
        own = [(side * x, side * e * c, e * s) for x, e in ((inner, 1), (outer, 1), (outer, -1), (inner, -1))]
        want = [on_paper(place_of("bar_mass", numbers, y, bar_centre=each)) for each in own]
        assert paddle == pytest.approx(np.array(want), abs=1e-9)


@pytest.mark.parametrize(("seed", "head", "turns"), CASES)
def test_blades_are_drawn_where_the_equations_have_them(seed: int, head: str, turns: str) -> None:
    """Tip, leading and trailing edge of blade 1 by the equations; the others are that one turned about the shaft, blade 2 ahead of it."""
    craft, numbers, _ = drawn(seed, head, turns)
    p, rotor = numbers.params[0], craft.rotor
    y = state_at(0.0, 0.0, np.zeros(int(p["flaps"])))
    pitch = math.radians(rotor.collective_deg + 0.25 * rotor.twist_deg)
    share, tip = rotor.feather_axis_percent / 100.0, 1e-3 * rotor.radius_mm - float(p["hinge_offset"])
    edges = []
    for ahead in (share, share - 1.0):
        out = ahead * 1e-3 * rotor.tip_chord_mm
        own = (tip, out * math.cos(pitch), out * math.sin(pitch))
        edges.append(place_of("blade_mass", numbers, y, blade_centre=own, blades=1))
    outlines = of(shapes(craft), "blades", "blade")
    assert len(outlines) == rotor.blades
    sense = 1.0 if turns == "counter-clockwise" else -1.0  # right-hand rule about the shaft, upwards
    for i, points in enumerate(outlines):
        turn = Rotation.from_rotvec(sense * 2.0 * math.pi * i / rotor.blades * p["shaft_axis"])
        want = [on_paper(p["hub_place"] + turn.apply(edge - p["hub_place"])) for edge in edges]
        n = len(points) // 2
        assert points[n - 1 : n + 1] == pytest.approx(np.array(want), abs=1e-9)


def test_views_look_down_and_from_the_right() -> None:
    """Nose to the right on both; seen from above the craft's right side is below, seen from the right up is up."""
    assert from_above((3.0, 2.0, 1.0)) == (3.0, -2.0)
    assert from_the_right((3.0, 2.0, 1.0)) == (3.0, 1.0)


class Drawn:
    """What is put on pages, before labels make room for each other."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, module: Any) -> None:
        self.labels: dict[str, Array] = {}
        self.lines: list[tuple[Array, dict[str, Any]]] = []
        self.arrows: list[tuple[Array, Array]] = []
        own_line = Page.line

        def label(page: Page, x: float, y: float, words: str, *_: Any, **__: Any) -> None:
            self.labels[words] = np.array([x, y])

        def line(page: Page, points: Any, **look: Any) -> None:
            self.lines.append((np.array(points), look))
            own_line(page, points, **look)

        def arrow(page: Page, tip: Any, toward: Any) -> None:
            self.arrows.append((np.array(tip), np.array(toward)))

        monkeypatch.setattr(Page, "label", label)
        monkeypatch.setattr(Page, "line", line)
        if hasattr(module, "arrow"):
            monkeypatch.setattr(module, "arrow", arrow)


def angle(place: Array) -> float:
    """Anticlockwise from the nose, which is to the right on paper [deg]."""
    return math.degrees(math.atan2(place[1], place[0]))


def across(a: Array, b: Array) -> float:
    """Above 0 where b lies anticlockwise of a."""
    return float(a[0] * b[1] - a[1] * b[0])


@pytest.mark.parametrize(("turns", "sense"), [("counter-clockwise", 1.0), ("clockwise", -1.0)])
@pytest.mark.parametrize("lead", [70.0, -120.0, 200.0])
def test_the_plan_of_the_head_shows_lead_and_sense_as_seen_from_above(
    monkeypatch: pytest.MonkeyPatch, turns: str, sense: float, lead: float
) -> None:
    """Anticlockwise on paper is anticlockwise seen from above: blade 1 over the tail, at 180 deg, the others and arm 1 on from there."""
    craft = load_craft(
        MODELS / "hall-ten.toml",
        {"shaft.turns": turns, "bar.lead_deg": lead, "rotor.blades": 3, "head.kind": "flapping", "all_up_g": 11.0,
         "shaft.tilt_forward_deg": 5.0, "shaft.tilt_right_deg": -7.0},
    )  # fmt: skip
    seen = Drawn(monkeypatch, head)
    head.head_page(craft)
    centre = 0.5 * (seen.labels["arm 1"] + seen.labels["arm 2"])
    arm = angle(seen.labels["arm 1"] - centre)
    assert math.remainder(arm - (180.0 + sense * lead), 360.0) == pytest.approx(0.0, abs=1e-6)
    for number in (1, 2, 3):
        found = angle(seen.labels[f"blade {number}"] - centre)
        assert math.remainder(found - (180.0 + sense * 120.0 * (number - 1)), 360.0) == pytest.approx(0.0, abs=20.0)
    # thick lines of many points are leading edges: ahead of the middle of their blade, in the sense of rotation
    edges = [points - centre for points, look in seen.lines if look.get("width") == head.EDGE and len(points) > 2]
    for number, points in enumerate(edges):
        turn = math.radians(180.0 + sense * 120.0 * number)
        assert sense * across(np.array([math.cos(turn), math.sin(turn)]), points[-1]) > 0.0
    assert len(edges) == 3
    lead_arrow, sense_arrow = seen.arrows[0], seen.arrows[-1]
    assert sense * math.copysign(1.0, lead) * across(lead_arrow[1] - centre, lead_arrow[0] - centre) > 0.0
    assert sense * across(sense_arrow[1] - centre, sense_arrow[0] - centre) > 0.0
    middle = angle(seen.labels[f"lead {lead:g} deg"] - centre)
    assert math.remainder(middle - (180.0 + 0.5 * sense * lead), 360.0) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("turns", "edge"), [("counter-clockwise", "top"), ("clockwise", "foot")])
def test_a_blade_is_cut_with_its_leading_edge_where_it_goes(
    monkeypatch: pytest.MonkeyPatch, turns: str, edge: str
) -> None:
    """Seen from above, root at the left, a blade goes up the page if the rotor turns anticlockwise. The dashed axis lies 30 % behind that edge."""
    craft = load_craft(MODELS / "hall-ten.toml", {"shaft.turns": turns, "rotor.feather_axis_percent": 30.0})
    seen = Drawn(monkeypatch, blade)
    (first, *_) = blade.outlines_to_cut(craft)
    assert f"leading edge at the {edge}" in first.words
    blade.blade_pages(craft)
    solid = [points for points, look in seen.lines if look.get("linestyle", "-") == "-" and len(points) > 2][:2]
    axis = next(points for points, look in seen.lines if look.get("linestyle") == blade.DASHED)
    up, down = (abs(float(points[0, 1] - axis[0, 1])) for points in sorted(solid, key=lambda points: -points[0, 1]))
    assert up / (up + down) == pytest.approx(0.3 if edge == "top" else 0.7, abs=1e-6)
