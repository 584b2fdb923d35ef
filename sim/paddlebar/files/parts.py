"""The parts of a fuselage, [[part]] in the craft file: how each kind is weighed and measured."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import AfterValidator, ConfigDict, Field, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from paddlebar.files.strict import Length, Mass, Small, Spot, Strict

# fmt: off
Material = Literal[
    "balsa", "light balsa", "medium balsa", "hard balsa", "spruce", "pultruded carbon", "wrapped carbon",
    "printed PLA", "printed PETG", "printed nylon", "music wire",
]
"""What a part is made of; strength and densities stand in ``craft.strength.materials``."""


Triple = tuple[float, float, float]
Line = tuple[float, float, float, float, float, float]


class Solid(NamedTuple):
    """What a part's mesh comes to, in its own axes and its own unit of length.

    sha256  : of the STL;  volume : what its skin encloses;  centre : of that volume
    inertia : xx, yy, zz, xy, xz, yz about the centre of a body of density 1
    box     : lowest corner, highest corner;  shadows : of its convex hull along x, y, z (areas)
    ends    : the points of it that reach out furthest;  lines : edges, those of a fine mesh made coarser, from and to
    mended  : what was put right, "" for nothing
    """

    sha256: str
    volume: float
    centre: Triple
    inertia: Line
    box: Line
    shadows: Triple
    ends: tuple[Triple, ...]
    lines: tuple[Line, ...]
    mended: str


def _addressable(name: str) -> str:
    # --set and [change.part.NAME] find a part by its name, so a dot in it would cut it in two.
    if not name.strip() or any(sign in name for sign in '.[]"=#\n'):
        raise PydanticCustomError("name", 'a name should not be blank nor hold any of . [ ] " = #')
    return name


def _not_needed(key: str) -> Callable[[dict[str, Any]], None]:
    """Takes a key off those that a JSON Schema demands, where another key does as well."""
    return lambda schema: schema["required"].remove(key)


class EveryPart(Strict):
    """What parts of all kinds have."""

    name: Annotated[str, AfterValidator(_addressable)] = Field(max_length=60, examples=["stick"], description="Its own name; changes and studies find it by that.")
    mass_g: Mass = Field(examples=[0.87], description="On the scale, glue included.")
    drag: bool = Field(default=True, description="false: no wind acts on it.")
    drag_coefficient: float | None = Field(default=None, ge=0.0, le=5.0, examples=[1.2], description="Of the area that faces the wind. Left out: from a table by kind.")
    touches: bool = Field(default=True, description="false: its ends never touch floor or walls.")
    material: Material | None = Field(default=None, examples=["balsa"], description='What it is made of, for its strength; its weight is mass_g. "balsa" is judged by its weight, the three grades are not.')


class PointPart(EveryPart):
    """One lump of the fuselage."""

    kind: Literal["point"] = Field(description="A lump: a bearing, ballast, a drop of glue.")
    at_mm: Spot = Field(examples=[[4, 0, -16]], description="Where it is.")
    drag_area_mm2: float = Field(default=0.0, ge=0.0, le=1e6, description="The area that it shows to the wind.")


class RodPart(EveryPart):
    """One rod of the fuselage."""

    kind: Literal["rod"] = Field(description="A straight rod, wire or stick.")
    from_mm: Spot = Field(examples=[[9, 0, -14]], description="One end.")
    to_mm: Spot = Field(examples=[[9, 0, -226]], description="The other end.")
    diameter_mm: Small = Field(examples=[4], description="Thickness; of a square stick its side.")
    # in the air both are round
    cross_section: Literal["round", "square"] = Field(default="round", description="Shape across, for strength. A flat strip is a plate.")


class TubePart(EveryPart):
    """One tube of the fuselage."""

    kind: Literal["tube"] = Field(description="A straight round tube.")
    from_mm: Spot = Field(examples=[[9, 0, -14]], description="One end.")
    to_mm: Spot = Field(examples=[[9, 0, -226]], description="The other end.")
    diameter_mm: Small = Field(examples=[4], description="Outside, across the tube.")
    wall_mm: Small | None = Field(default=None, examples=[0.5], description="Thickness of the wall. Left out: thin.")


class PlatePart(EveryPart):
    """One plate of the fuselage; ``along`` and ``normal`` are vectors of any length."""

    kind: Literal["plate"] = Field(description="A flat rectangle: a fin, a vane, a flat strip.")
    at_mm: Spot = Field(examples=[[4, 0, -16]], description="Its centre.")
    length_mm: Length = Field(examples=[30], description="Its length, in the direction of `along`.")
    width_mm: Length = Field(examples=[25], description="Its width, across `along`.")
    along: Spot = Field(examples=[[1, 0, 0]], description="Direction of its length.")
    normal: Spot = Field(examples=[[0, 1, 0]], description="Direction that stands square on the plate.")
    thickness_mm: Small = Field(default=1.0, description="Of the sheet.")


class RingPart(EveryPart):
    """One ring of the fuselage; ``normal`` is a vector of any length."""

    kind: Literal["ring"] = Field(description="A ring of wire, say a foot.")
    at_mm: Spot = Field(examples=[[4, 0, -16]], description="Its centre.")
    diameter_mm: Length = Field(examples=[120], description="Across the ring.")
    wire_diameter_mm: Small = Field(examples=[0.5], description="Thickness of the wire.")
    normal: Spot = Field(examples=[[0, 1, 0]], description="Direction of the ring's axis.")

class MeshPart(EveryPart):
    """One part of any shape, from an STL; ``along`` and ``normal`` are vectors of any length."""

    model_config = ConfigDict(json_schema_extra=_not_needed("mass_g"))

    kind: Literal["mesh"] = Field(description="Any shape, from an STL of your CAD program.")
    stl: Annotated[Solid, WithJsonSchema({"type": "string"})] = Field(examples=["mount.stl"], description="The STL file, beside this one.")
    unit: Literal["mm", "cm", "m", "in"] = Field(default="mm", description="What a length of 1 in the STL is.")
    density_kg_m3: float | None = Field(default=None, gt=0.0, le=25000.0, examples=[1240], description="Of its material, where it was not weighed: instead of mass_g.")
    fill_percent: float = Field(default=100.0, gt=0.0, le=100.0, description="With density_kg_m3: how much of its volume is material, skin and infill together.")
    at_mm: Spot = Field(examples=[[4, 0, -16]], description="Where the origin of the STL lies.")
    along: Spot = Field(default=(1.0, 0.0, 0.0), description="Direction of the STL's x axis.")
    normal: Spot = Field(default=(0.0, 0.0, 1.0), description="Direction of the STL's z axis. With x to the nose and z up, y points to the left.")
    mirrored: bool = Field(default=False, description="true: its mirror image, y turned over: the left leg from the right one's STL.")

    @model_validator(mode="before")
    @classmethod
    def _by_density(cls, raw: Any) -> Any:
        """Where it was not weighed: volume times density, which is then done with."""
        match raw:
            case {"stl": (_, float(volume), *_), "density_kg_m3": float() | int() as density} if "mass_g" not in raw:
                scale, fill = SCALE_MM.get(raw.get("unit", "mm"), 1.0), raw.get("fill_percent", 100.0)
                if density > 0.0 and isinstance(fill, float | int):
                    kept = {key: value for key, value in raw.items() if key != "density_kg_m3"}
                    return {**kept, "mass_g": 1e-6 * density * 0.01 * fill * volume * scale**3}
        return raw

    @property
    def scale_mm(self) -> float:
        """Length of 1 in the STL."""
        return SCALE_MM[self.unit]
# fmt: on


SCALE_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}

Part = Annotated[PointPart | RodPart | TubePart | PlatePart | RingPart | MeshPart, Field(discriminator="kind")]
