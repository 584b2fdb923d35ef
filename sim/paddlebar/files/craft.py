"""The craft file: a model helicopter as built, in the units of a scale and a ruler.

Places are [forward, right, up] in mm from a datum of the builder's choice. Values stay in file units.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field
from pydantic_core import PydanticCustomError

from paddlebar.files.kinds import BARS, BarKind, HeadKind
from paddlebar.files.strict import (
    Described,
    Friction,
    Lead,
    Length,
    Mass,
    Pitch,
    Share,
    Small,
    Spot,
    Strict,
)

SECTIONS = ("cambered plate", "shallow cambered plate", "flat plate", "thin aerofoil")
"""Sections that come with the program; anything else is the path of a csv table."""

Material = Literal[
    "balsa",
    "light balsa",
    "medium balsa",
    "hard balsa",
    "spruce",
    "pultruded carbon",
    "wrapped carbon",
    "printed PLA",
    "printed PETG",
    "printed nylon",
    "music wire",
]
"""What a part is made of; strength and densities stand in ``bench.materials``. No flight asks for it."""


def _addressable(name: str) -> str:
    # --set and [change.part.NAME] find a part by its name, so a dot in it would cut it in two.
    if not name.strip() or any(sign in name for sign in '.[]"=#\n'):
        raise PydanticCustomError("name", 'a name should not be blank nor hold any of . [ ] " = #')
    return name


class _Part(Strict):
    name: Annotated[str, Field(max_length=60), AfterValidator(_addressable)]
    mass_g: Mass
    drag: bool = True
    drag_coefficient: float | None = Field(default=None, ge=0.0, le=5.0)
    touches: bool = True  # its end points are where the craft may touch floor and walls
    material: Material | None = None  # asked for strength alone; a flight weighs what the scale says


class PointPart(_Part):
    """A lump: ballast, a drop of glue, a bearing."""

    kind: Literal["point"]
    at_mm: Spot
    drag_area_mm2: float = Field(default=0.0, ge=0.0, le=1e6)


class RodPart(_Part):
    """A straight round rod or wire; a square stick is entered with its side as diameter."""

    kind: Literal["rod"]
    from_mm: Spot
    to_mm: Spot
    diameter_mm: Small
    cross_section: Literal["round", "square"] = (
        "round"  # asked for strength and volume alone; in the air both are round
    )


class TubePart(_Part):
    """A straight round tube."""

    kind: Literal["tube"]
    from_mm: Spot
    to_mm: Spot
    diameter_mm: Small
    wall_mm: Small | None = None  # None: thin


class PlatePart(_Part):
    """A flat rectangle; ``along`` is the direction of its length, ``normal`` stands on it."""

    kind: Literal["plate"]
    at_mm: Spot
    length_mm: Length
    width_mm: Length
    along: Spot
    normal: Spot
    thickness_mm: Small = 1.0


class RingPart(_Part):
    """A ring of wire; ``normal`` is its axis."""

    kind: Literal["ring"]
    at_mm: Spot
    diameter_mm: Length
    wire_diameter_mm: Small
    normal: Spot


Part = Annotated[PointPart | RodPart | TubePart | PlatePart | RingPart, Field(discriminator="kind")]


class Shaft(Strict):
    """The rotor shaft, its bearing and its hub (a uniform disc)."""

    hub_mm: Spot
    tilt_forward_deg: float = Field(default=0.0, ge=-45.0, le=45.0)
    tilt_right_deg: float = Field(default=0.0, ge=-45.0, le=45.0)
    turns: Literal["counter-clockwise", "clockwise"] = "counter-clockwise"  # seen from above
    friction_mN_m: Friction = 0.02
    hub_mass_g: Mass
    hub_diameter_mm: Length


class Station(Strict):
    """A place along the blade."""

    radius_mm: Length
    chord_mm: float = Field(gt=0.0, le=500.0)
    pitch_deg: Pitch


class Rotor(Strict):
    """Blades, all alike."""

    blades: int = Field(ge=2, le=6)
    radius_mm: float = Field(ge=20.0, le=1500.0)
    root_mm: Length
    chord_mm: float = Field(gt=0.0, le=500.0)
    # .get: pydantic 2.12.0 asks for a default even where the other key is missing, which is told anyway
    tip_chord_mm: float = Field(default_factory=lambda data: data.get("chord_mm"), gt=0.0, le=500.0)
    collective_deg: Pitch  # at 75 % radius
    twist_deg: float = Field(default=0.0, ge=-60.0, le=60.0)  # tip minus root (centre), linear
    blade_mass_g: float = Field(gt=0.0, le=100.0)  # each
    blade_masses_g: tuple[Annotated[float, Field(gt=0.0, le=100.0)], ...] | None = (
        None  # for balance; flights have blade_mass_g
    )
    material: Material | None = None
    thickness_mm: Small = 1.0
    section: str
    drag_factor: float = Field(default=1.0, ge=0.2, le=5.0)  # on the section's drag at all angles
    feather_axis_percent: float = Field(default=25.0, ge=-50.0, le=150.0)
    mass_axis_percent: float = Field(default=45.0, ge=0.0, le=100.0)
    station: tuple[Station, ...] = ()  # replaces chord and twist; collective_deg then adds to pitch


class Head(Strict):
    """How the blades sit on the hub."""

    kind: HeadKind
    precone_deg: float = Field(default=0.0, ge=-10.0, le=30.0)
    hinge_offset_mm: Length = 0.0
    spring_mN_m_rad: float = Field(default=0.0, ge=0.0, le=1e5)
    damping_mN_m_s: float = Field(default=0.0, ge=0.0, le=1e3)
    friction_mN_m: Friction = 0.0
    delta3_deg: float = Field(default=0.0, ge=-75.0, le=75.0)
    stop_deg: float = Field(default=25.0, ge=1.0, le=85.0)


class Bar(Strict):
    """The paddle bar. With kind "none" all other entries may stay or be absent; 0 is then no measure but a gap."""

    kind: BarKind
    lead_deg: Lead = 0.0
    gain: float = Field(default=0.0, ge=-5.0, le=5.0)
    height_mm: float = Field(default=0.0, ge=-500.0, le=500.0)  # above the hub
    arm_mm: Length = 0.0  # hinge to centre of the tip mass
    wire_diameter_mm: Small = 0.0
    wire_mass_g: Mass = 0.0  # both arms
    tip_mass_g: Mass = 0.0  # each
    tip_masses_g: tuple[Mass, Mass] | None = None  # arm 1, arm 2, for balance; flights have tip_mass_g
    tip_diameter_mm: Small = 4.0
    paddle_span_mm: Length = 0.0
    paddle_chord_mm: Length = 0.0
    paddle_centre_mm: Length = Field(default_factory=lambda data: data.get("arm_mm"))
    paddle_mass_g: Mass = 0.0  # each
    paddle_incidence_deg: Pitch = 0.0
    paddle_section: str = "flat plate"
    friction_mN_m: Friction = 0.0
    damping_mN_m_s: float = Field(default=0.0, ge=0.0, le=1e3)
    spring_mN_m_rad: float = Field(default=0.0, ge=0.0, le=1e5)
    stop_deg: float = Field(default=30.0, ge=1.0, le=85.0)


class Skein(Strict):
    """A rubber skein: by strands, width and thickness, or by strands and what a metre of strip weighs, or by its weighed mass."""

    strands: int | None = Field(default=None, ge=1, le=500)
    width_mm: float | None = Field(default=None, gt=0.0, le=50.0)
    thickness_mm: float | None = Field(default=None, gt=0.0, le=20.0)
    linear_density_g_m: float | None = Field(default=None, gt=0.0, le=500.0)  # of one strip
    mass_g: float | None = Field(default=None, gt=0.0, le=200.0)
    length_mm: float = Field(ge=10.0, le=3000.0)  # made up, not stretched
    density_kg_m3: float = Field(default=930.0, ge=500.0, le=2000.0)
    breaking_constant: float = Field(default=10.0, ge=1.0, le=20.0)
    energy_kJ_kg: float = Field(default=6.0, ge=0.1, le=20.0)  # let out from breaking turns
    loss_percent: Share = 30.0
    settle_percent: float = Field(default=4.0, ge=0.1, le=50.0)
    spike: float = Field(default=2.5, ge=1.0, le=10.0)  # torque at breaking turns over that of the plateau
    knee_percent: float = Field(default=8.0, ge=0.1, le=50.0)
    reference_C: float = Field(default=20.0, ge=-30.0, le=60.0)
    # 0.3 to 1 (references 6.4); with no more than 1 the air's and the reference's own ranges leave a tenth of the torque at least
    percent_per_K: float = Field(default=0.5, ge=-1.0, le=1.0)
    hooks_mm: tuple[Spot, Spot]
    stick: str | None = None  # the part that bears its pull; None: the one that lies along it
    run_out: Literal["freewheel", "rewinds", "locked"] = "freewheel"
    # Rows of [turns, torque_mN_m], unwinding; a file may name a csv instead, which is read at once. Below the first row the torque falls to
    # none in proportion to the turns; beyond the last one nothing is known, so that no more is wound (craft/motors.py).
    measured: tuple[tuple[float, float], ...] | None = None


class Tail(Strict):
    """The tail rotor. With drive "none" there is none, and ``craft.tail`` is None."""

    drive: Literal["none", "cord", "skein"]
    at_mm: Spot = (0.0, 0.0, 0.0)
    thrust_to: Literal["left", "right"] = "left"
    blades: int = Field(default=2, ge=2, le=8)
    radius_mm: float = Field(default=0.0, ge=0.0, le=500.0)
    root_mm: Length = 0.0
    chord_mm: float = Field(default=0.0, ge=0.0, le=200.0)
    pitch_deg: Pitch = 0.0
    twist_deg: float = Field(default=0.0, ge=-60.0, le=60.0)
    section: str = "flat plate"
    mass_g: Mass = 0.0  # the whole tail rotor
    drive_pulley_mm: Length = 0.0  # ratio = drive pulley / tail pulley
    tail_pulley_mm: Length = 0.0
    drive_pulley_at_mm: Spot | None = None  # None: at the shaft's hook; only the strength of stick and boom asks for it
    cord_tension_mN: float = Field(default=300.0, ge=0.0, le=1e5)
    cord_friction: float = Field(default=0.3, ge=0.0, le=2.0)
    cord_wrap_deg: float = Field(default=180.0, ge=20.0, le=1440.0)
    friction_mN_m: Friction = 0.005
    loss_percent: Share = 5.0
    skein: Skein | None = None


def _none_is_absent(tail: Tail | None) -> Tail | None:
    return None if tail is not None and tail.drive == "none" else tail


class Craft(Described):
    """A whole craft."""

    name: str = Field(min_length=1, max_length=200)
    note: str = ""
    all_up_g: float | None = Field(default=None, ge=1.0, le=500.0)
    airframe_drag_factor: float = Field(default=1.0, ge=0.0, le=10.0)  # on the drag of all parts and of the skein
    part: tuple[Part, ...] = Field(min_length=1)
    shaft: Shaft
    rotor: Rotor
    head: Head
    bar: Bar
    skein: Skein
    tail: Annotated[Tail | None, AfterValidator(_none_is_absent)] = None


NEEDED: dict[str, dict[str, tuple[str, ...]]] = {
    "bar": {kind: row.needs for kind, row in BARS.items()},
    "tail": {
        "cord": (
            *("at_mm", "thrust_to", "radius_mm", "root_mm", "chord_mm", "pitch_deg", "section", "mass_g"),
            *("drive_pulley_mm", "tail_pulley_mm"),
        ),
        "skein": ("at_mm", "thrust_to", "radius_mm", "root_mm", "chord_mm", "pitch_deg", "section", "mass_g", "skein"),
    },
}
"""Keys that a kind of bar or drive needs (each table stays one class, so that a change may name the kind alone)."""


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


def tables(craft: Craft) -> dict[str, Any]:
    """The craft's tables by dotted name; those that are absent left out."""
    found: dict[str, Any] = {name: getattr(craft, name) for name in ("shaft", "rotor", "head", "bar", "skein")}
    if craft.tail is not None:
        found["tail"] = craft.tail
        if craft.tail.skein is not None:
            found["tail.skein"] = craft.tail.skein
    return found
