"""The craft file: a model helicopter as built, in the units of a scale and a ruler.

Places are [forward, right, up] in mm from a datum of the builder's choice. Values stay in file units. What a key means stands
with it, as its ``description``; the template, the form, the manual and the schema for editors take it from here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, WithJsonSchema

from paddlebar.files.kinds import BARS, HEADS, BarKind, HeadKind
from paddlebar.files.parts import Material, Part
from paddlebar.files.strict import (
    Chord,
    Damping,
    Described,
    Friction,
    Lead,
    Lean,
    Length,
    Mass,
    OneByOne,
    Pitch,
    SameAs,
    Share,
    Small,
    Spot,
    Stiffness,
    Stop,
    Strict,
    Twist,
)

SECTIONS = ("cambered plate", "shallow cambered plate", "flat plate", "thin aerofoil")
"""Sections that come with the program; anything else is the path of a csv table."""

Curve = Annotated[
    tuple[tuple[float, float], ...],
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string"},
                {
                    "type": "array",
                    "items": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
                },
            ]
        }
    ),
]
"""Rows of [turns, torque_mN_m], unwinding; a file may name a csv instead, which is read at once."""

Polar = tuple[tuple[float, ...], ...]
"""Rows of [alpha_deg, cl, cd], or with Re, or with Re and cm, behind them."""

Section = Annotated[
    str | Polar,
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": list(SECTIONS)},
                {"type": "string", "pattern": r"\.[cC][sS][vV]$"},
                {
                    "type": "array",
                    "items": {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 5},
                },
            ]
        }
    ),
]
"""A name, the path of a csv table, or the rows of one."""


Nose = Literal["rounded", "sharp"]
_NOSE = 'Front edge of a curved plate: "rounded" with sandpaper, "sharp": a thin sheet as cut. Other sections take no notice.'
_SHAPES = 'Shape across: "' + '", "'.join(SECTIONS) + '", or a csv table of your own.'


def _told(kinds: Mapping[Any, Any]) -> str:
    """Each kind and what it is, as its row says."""
    return "; ".join(f'"{kind}": {row.says}' for kind, row in kinds.items()) + "."


def _apart(mean: float, each: Sequence[float] | None, count: int) -> tuple[float, ...]:
    """Every one of some that differ as `each` does and have this mean; alike where each was not measured."""
    if each is None:
        return (mean,) * count
    own = math.fsum(each) / len(each)
    return tuple(mean + (one - own) for one in each)


# A key is a line: type and limits, then its words.
# fmt: off


class Shaft(Strict):
    """The rotor shaft, its bearing and its hub (a uniform disc)."""

    hub_mm: Spot = Field(description="Centre of the hub, where the blades' axis crosses the shaft.")
    tilt_forward_deg: Lean = Field(default=0.0, description="How far the shaft's top leans to the nose.")
    tilt_right_deg: Lean = Field(default=0.0, description="How far the shaft's top leans to the right.")
    turns: Literal["counter-clockwise", "clockwise"] = Field(default="counter-clockwise", description="Which way the rotor turns, seen from above.")
    friction_mN_m: Friction = Field(default=0.02, description="Torque that the bearing takes.")
    hub_mass_g: Mass = Field(description="Hub and shaft together.")
    hub_diameter_mm: Length = Field(description="Across the hub, taken as a disc.")


class Station(Strict):
    """A place along the blade."""

    radius_mm: Length = Field(examples=[50], description="Shaft to this place.")
    chord_mm: Chord = Field(examples=[34], description="Width of the blade there.")
    pitch_deg: Pitch = Field(examples=[3], description="Pitch there; collective_deg is added to it.")


class Rotor(Strict):
    """Blades of one shape; each may be weighed and its pitch measured."""

    blades: int = Field(ge=2, le=6, description="How many.")
    radius_mm: float = Field(ge=20.0, le=1500.0, description="Shaft to tip.")
    root_mm: Length = Field(description="Shaft to where the blade begins.")
    chord_mm: Chord = Field(description="Width of the blade at the root.")
    tip_chord_mm: Chord = Field(default_factory=SameAs("chord_mm"), description="Width of the blade at the tip.")
    collective_deg: Pitch = Field(description="Pitch at 75 % of the radius; of unequal blades the mean.")
    blade_pitches_deg: Annotated[tuple[Pitch, ...] | None, OneByOne("collective_deg", "blades")] = Field(default=None, examples=[[8.5, 9.5]], description="Each by the protractor, blade 1 first. They fly by so much apart; their mean is collective_deg. Left out: all alike.")
    twist_deg: Twist = Field(default=0.0, description="Pitch at the tip minus pitch at the centre.")
    blade_mass_g: float = Field(gt=0.0, le=100.0, description="Each on the scale; of unequal ones the mean.")
    blade_masses_g: Annotated[tuple[Annotated[float, Field(gt=0.0, le=100.0)], ...] | None, OneByOne("blade_mass_g", "blades")] = Field(default=None, examples=[[0.90, 0.91]], description="Each on the scale, blade 1 first. They fly by so much apart; their mean is blade_mass_g. Left out: all alike.")
    material: Material | None = Field(default=None, examples=["medium balsa"], description="What the blades are made of; `check` holds their weight against it.")
    thickness_mm: Small = Field(default=1.0, description="Of the sheet.")
    section: Section = Field(description=_SHAPES)
    # rounded, since the wood of these blades is as thick for its width (3 %) as the plate that was measured so, and is sanded anyway;
    # and since measured small rotors lie nearer that plate from Re 15k up (references 1.5a)
    nose: Nose = Field(default="rounded", description=_NOSE)
    drag_factor: float = Field(default=1.0, ge=0.2, le=5.0, description="Multiplies the section's drag at all angles, say 1.15 for a rough or thick edge. `match` can find it.")
    feather_axis_percent: float = Field(default=25.0, ge=-50.0, le=150.0, description="Where the blade turns for pitch: share of the chord behind the leading edge.")
    mass_axis_percent: float = Field(default=45.0, ge=0.0, le=100.0, description="Where the blade's weight lies: share of the chord behind the leading edge. Balance it on a ruler's edge, lengthwise.")
    station: tuple[Station, ...] = Field(default=(), description="Places along the blade, going outwards, two or more: instead of chord and twist.")

    def masses_g(self) -> tuple[float, ...]:
        """Of every blade, mean and differences as the file says [g]."""
        return _apart(self.blade_mass_g, self.blade_masses_g, self.blades)

    def pitches_deg(self) -> tuple[float, ...]:
        """Of every blade at 75 % of the radius, mean and differences as the file says [deg]."""
        return _apart(self.collective_deg, self.blade_pitches_deg, self.blades)


class Head(Strict):
    """How the blades sit on the hub."""

    kind: HeadKind = Field(description=_told(HEADS))
    precone_deg: float = Field(default=0.0, ge=-10.0, le=30.0, description="How far the blades stand up when at rest.")
    hinge_offset_mm: Length = Field(default=0.0, description="Shaft to hinge, of a flapping head.")
    spring_mN_m_rad: Stiffness = Field(default=0.0, description="Stiffness of the hinge: torque for a tilt of one radian, 57 degrees.")
    damping_mN_m_s: Damping = Field(default=0.0, description="Damping of the hinge: torque for a radian a second.")
    friction_mN_m: Friction = Field(default=0.0, description="Torque that just moves the hinge.")
    delta3_deg: float = Field(default=0.0, ge=-75.0, le=75.0, description="Hinge set askew; positive: a blade that rises loses pitch.")
    stop_deg: Stop = Field(default=25.0, description="How far the blades can flap, up or down.")


class Bar(Strict):
    """The paddle bar. With kind "none" all other entries may stay or be absent; 0 is then no measure but a gap."""

    needs = {kind: row.needs for kind, row in BARS.items() if row.needs}

    kind: BarKind = Field(description=_told(BARS))
    lead_deg: Lead = Field(default=0.0, description="How far the arm leads, in the sense of rotation, the blade whose pitch it raises when that tip is up.")
    gain: float = Field(default=0.0, ge=-5.0, le=5.0, description="Degrees of blade pitch for a degree of bar tilt; negative: reversed linkage. Tilt the bar by hand and measure both.")
    height_mm: float = Field(default=0.0, ge=-500.0, le=500.0, description="Above the hub; below it negative.")
    arm_mm: Length = Field(default=0.0, description="Hinge to centre of the tip mass.")
    wire_diameter_mm: Small = Field(default=0.0, description="Thickness of the wire.")
    wire_mass_g: Mass = Field(default=0.0, description="Both arms together.")
    tip_mass_g: Mass = Field(default=0.0, description="Each; of unequal ones the mean.")
    tip_masses_g: Annotated[tuple[Mass, Mass] | None, OneByOne("tip_mass_g")] = Field(default=None, examples=[[0.40, 0.41]], description="Each on the scale, arm 1 and 2. They fly by so much apart; their mean is tip_mass_g. Left out: both alike.")
    tip_diameter_mm: Small = Field(default=4.0, description="Size of a tip mass, taken as a ball.")
    paddle_span_mm: Length = Field(default=0.0, description="Length of a paddle along the arm; 0: no paddles.")
    paddle_chord_mm: Length = Field(default=0.0, description="Width of a paddle.")
    paddle_centre_mm: Length = Field(default_factory=SameAs("arm_mm"), description="Hinge to centre of the paddle.")
    paddle_mass_g: Mass = Field(default=0.0, description="Each paddle on the scale.")
    paddle_incidence_deg: Pitch = Field(default=0.0, description="Pitch of the paddle on its arm.")
    paddle_section: Section = Field(default="flat plate", description="Shape across a paddle, as for the rotor.")
    friction_mN_m: Friction = Field(default=0.0, description="Torque that just moves the hinge, links included.")
    damping_mN_m_s: Damping = Field(default=0.0, description="Damping of the hinge: torque for a radian a second.")
    spring_mN_m_rad: Stiffness = Field(default=0.0, description="Stiffness of the hinge: torque for a tilt of one radian, 57 degrees.")
    stop_deg: Stop = Field(default=30.0, description="How far the bar can tilt, either way.")

    @property
    def has_paddles(self) -> bool:
        """It is there, and has paddles."""
        return BARS[self.kind].present and self.paddle_span_mm > 0.0

    def tips_g(self) -> tuple[float, ...]:
        """Of tip 1 and 2, mean and difference as the file says [g]."""
        return _apart(self.tip_mass_g, self.tip_masses_g, 2)


class Skein(Strict):
    """A rubber skein, given in one of three ways."""

    ways = (("strands", "width_mm", "thickness_mm"), ("strands", "linear_density_g_m"), ("mass_g",))

    strands: int | None = Field(default=None, ge=1, le=500, examples=[6], description="Lengths of strip side by side; a loop of one strip has two.")
    width_mm: float | None = Field(default=None, gt=0.0, le=50.0, examples=[2], description="Width of one strip, not stretched.")
    thickness_mm: float | None = Field(default=None, gt=0.0, le=20.0, examples=[1], description="Thickness of one strip, not stretched.")
    linear_density_g_m: float | None = Field(default=None, gt=0.0, le=500.0, examples=[1.86], description="Instead of width and thickness: weight of a metre of one strip, not stretched.")
    mass_g: float | None = Field(default=None, gt=0.0, le=200.0, examples=[2.2], description="Instead of strands and all these: the skein on the scale.")
    length_mm: float = Field(ge=10.0, le=3000.0, description="Made up, lying straight, not stretched.")
    density_kg_m3: float = Field(default=930.0, ge=500.0, le=2000.0, description="Of the rubber.")
    breaking_constant: float = Field(default=10.0, ge=1.0, le=20.0, description="Turns that break it, times the root of its section over its length; good rubber 8 to 13. Wind a spare one until it breaks.")
    energy_kJ_kg: float = Field(default=6.0, ge=0.1, le=20.0, description="Energy that it gives, unwinding from breaking turns, once settled.")
    loss_percent: Share = Field(default=30.0, description="Share of the winding work that never comes back.")
    settle_percent: float = Field(default=4.0, ge=0.1, le=50.0, description="Turns over which the torque settles after winding: share of breaking turns.")
    spike: float = Field(default=2.5, ge=1.0, le=10.0, description="Torque at breaking turns over that of the long even part.")
    knee_percent: float = Field(default=8.0, ge=0.1, le=50.0, description="How the torque dies at the end: with this share of breaking turns left it is 63 % of the even part, with twice as many left 86 %.")
    reference_C: float = Field(default=20.0, ge=-30.0, le=60.0, description="Temperature at which all this holds.")
    # 0.3 to 1 (references 6.4); with no more than 1 the ranges of the air and of the reference leave a tenth of the torque at least
    percent_per_K: float = Field(default=0.5, ge=-1.0, le=1.0, description="How much more torque for each degree warmer.")
    hooks_mm: tuple[Spot, Spot] = Field(description="Upper hook, on the shaft, and lower hook.")
    stick: str | None = Field(default=None, examples=["stick"], description="The part that bears the skein's pull. Left out: the one that lies along it.")
    run_out: Literal["freewheel", "rewinds", "locked"] = Field(default="freewheel", description="What the shaft does when the turns are used up.")
    # below the first row the torque falls to none in proportion to the turns; beyond the last nothing is known, so no more is wound
    measured: Curve | None = Field(default=None, examples=["torque.csv"], description="Your own torque curve, unwinding: a csv table with columns turns,torque_mN_m.")


_OF_TAIL = ("at_mm", "thrust_to", "radius_mm", "root_mm", "chord_mm", "pitch_deg", "section", "mass_g")


class Tail(Strict):
    """The tail rotor. With drive "none" there is none, and ``craft.tail`` is None."""

    needs = {"cord": (*_OF_TAIL, "drive_pulley_mm", "tail_pulley_mm"), "skein": (*_OF_TAIL, "skein")}
    picker = "drive"

    drive: Literal["none", "cord", "skein"] = Field(description='"cord": over two pulleys from the shaft; "skein": one of its own, in [tail.skein]; "none": there is no tail rotor.')
    at_mm: Spot = Field(default=(0.0, 0.0, 0.0), description="Its centre.")
    thrust_to: Literal["left", "right"] = Field(default="left", description="Where it pushes the tail.")
    blades: int = Field(default=2, ge=2, le=8, description="How many.")
    radius_mm: float = Field(default=0.0, ge=0.0, le=500.0, description="Its shaft to a tip.")
    root_mm: Length = Field(default=0.0, description="Its shaft to where the blade begins.")
    chord_mm: float = Field(default=0.0, ge=0.0, le=200.0, description="Width of the blade.")
    pitch_deg: Pitch = Field(default=0.0, description="Pitch at 75 % of its radius.")
    twist_deg: Twist = Field(default=0.0, description="Pitch at the tip minus pitch at its centre.")
    section: Section = Field(default="flat plate", description="Shape across a blade, as for the rotor.")
    nose: Nose = Field(default="rounded", description="Front edge of its blades, as for the rotor.")
    mass_g: Mass = Field(default=0.0, description="The whole tail rotor.")
    drive_pulley_mm: Length = Field(default=0.0, description="Diameter of the pulley on the main shaft.")
    tail_pulley_mm: Length = Field(default=0.0, description="Diameter of the pulley at the tail. The tail turns drive / tail times as fast as the rotor.")
    drive_pulley_at_mm: Spot | None = Field(default=None, examples=[[0, 0, -22]], description="Where that pulley sits, which says how the cord bends the stick. Left out: at the shaft's hook.")
    cord_tension_mN: float = Field(default=300.0, ge=0.0, le=1e5, description="How hard the cord is set, standing still.")
    cord_friction: float = Field(default=0.3, ge=0.0, le=2.0, description="Coefficient of friction, cord on pulley.")
    cord_wrap_deg: float = Field(default=180.0, ge=20.0, le=1440.0, description="How far round the small pulley the cord lies.")
    friction_mN_m: Friction = Field(default=0.005, description="Torque that the tail's bearing takes.")
    loss_percent: Share = Field(default=5.0, description="Share of the power that the cord eats.")
    skein: Skein | None = Field(default=None, description='With drive "skein": the tail\'s own rubber, keys as in [skein].')


def _none_is_absent(tail: Tail | None) -> Tail | None:
    return None if tail is not None and tail.drive == "none" else tail


class Craft(Described):
    """A whole craft."""

    name: str = Field(min_length=1, max_length=200, description="What tables and pictures call it.")
    note: str = Field(default="", description="A remark for yourself.")
    all_up_g: float | None = Field(default=None, ge=1.0, le=500.0, examples=[9.7], description="The whole craft on the scale, rubber included; must lie within 5 % of the sum of its parts.")
    airframe_drag_factor: float = Field(default=1.0, ge=0.0, le=10.0, description="Multiplies the drag of all parts and of the skein. `match` can find it.")
    part: tuple[Part, ...] = Field(min_length=1, description="Parts fixed to the fuselage, one [[part]] each: point, rod, tube, plate or ring.")
    shaft: Shaft = Field(description="Rotor shaft and hub.")
    rotor: Rotor = Field(description="Blades of one shape: weigh one by one, enter the mean, and each beside it.")
    head: Head = Field(description="How the blades sit on the hub.")
    bar: Bar = Field(description="The paddle bar.")
    skein: Skein = Field(description="The rubber: by strands, width and thickness; or by strands and what a metre of strip weighs; or by its weight.")
    tail: Annotated[Tail | None, AfterValidator(_none_is_absent)] = Field(default=None, description='The tail rotor; leave the table out, or write drive = "none", if there is none.')


    def replace(self, changes: Mapping[str, Any]) -> Craft:
        """The same craft with some keys changed; every key and value is checked as in a file.

        changes : dotted keys -> values, as for load_craft: {"bar.gain": 0.4, "part.stick.mass_g": 1.1}; arrays stand for tables
        Returns : another Craft
        Raises  : BadInput, one line that names key, value and rule

        >>> from paddlebar import load_craft
        >>> load_craft("hall-ten").replace({"bar.lead_deg": 95}).bar.lead_deg
        95.0
        """
        from paddlebar.files.load import replaced_craft  # noqa: PLC0415  the reader makes craft

        return replaced_craft(self, changes)


# fmt: on


def skein_mass_g(skein: Skein) -> float:
    """Mass of a skein [g]: as weighed, or strands x (linear density, or width x thickness x density) x length."""
    if skein.mass_g is not None:
        return skein.mass_g
    if skein.linear_density_g_m is not None:
        return (skein.strands or 0) * skein.linear_density_g_m * skein.length_mm * 1e-3  # 1 mm = 1e-3 m
    volume_mm3 = (skein.strands or 0) * (skein.width_mm or 0.0) * (skein.thickness_mm or 0.0) * skein.length_mm
    return volume_mm3 * skein.density_kg_m3 * 1e-6  # 1 kg/m3 = 1e-6 g/mm3


def weights_g(craft: Craft) -> dict[str, float]:
    """Mass of everything in the craft [g], by name; their sum is what a scale should show."""
    bar, rotor = craft.bar, craft.rotor
    weights = {f"part {part.name}": part.mass_g for part in craft.part}
    weights |= {"hub": craft.shaft.hub_mass_g, "blades": rotor.blades * rotor.blade_mass_g}
    if BARS[bar.kind].present:
        weights["bar"] = bar.wire_mass_g + 2.0 * bar.tip_mass_g + 2.0 * bar.paddle_mass_g
    weights["skein"] = skein_mass_g(craft.skein)
    if craft.tail is not None:
        weights["tail rotor"] = craft.tail.mass_g
        if craft.tail.skein is not None:
            weights["tail skein"] = skein_mass_g(craft.tail.skein)
    return weights
