"""What `new` asks: the questions, what each may be answered, and what stands for an answer that is not given."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any, Final, Literal, Self, get_args

from pydantic import Field

from paddlebar.errors import BadInput
from paddlebar.files.places import Places
from paddlebar.files.sentences import validated
from paddlebar.files.strict import Strict
from paddlebar.files.template import CRAFT, FIRST_FLIGHT

FIELD = 0.0  # height of a hall that has no ceiling
PATTERN_MM: Final[float] = 2.0 * CRAFT["rotor"]["radius_mm"]
PATTERN_G: Final[float] = CRAFT["all_up_g"]
PATTERN_SKEIN_MM: Final[float] = CRAFT["skein"]["length_mm"]
_RUBBER: Final = re.compile(r"\s*(\d+)\s*[xX*]\s*(\d+\.?\d*)\s*(?:[xX*]\s*(\d+\.?\d*))?\s*(?:mm)?\s*")


@dataclass(frozen=True)
class Rubber:
    """Strips side by side, and the section of each, not stretched [mm]."""

    strands: int
    width_mm: float
    thickness_mm: float

    def __str__(self) -> str:
        return f"{self.strands}x{self.width_mm:g}x{self.thickness_mm:g}"

    @property
    def section_mm2(self) -> float:
        """Of all strands."""
        return self.strands * self.width_mm * self.thickness_mm

    @classmethod
    def read(cls, typed: str) -> Self:
        """6x2x1: six strands, each 2 mm wide and 1 mm thick; 1 mm where the thickness is left out. Raises BadInput."""
        found = _RUBBER.fullmatch(typed)
        rubber = cls(int(found[1]), float(found[2]), float(found[3] or 1.0)) if found else None
        if rubber is None or not (1 <= rubber.strands <= 100 and 0.3 <= rubber.width_mm <= 20.0 and 0.2 <= rubber.thickness_mm <= 5.0):  # fmt: skip
            raise BadInput(f"new: rubber: strands x width x thickness in mm, such as 6x2x1, found {typed!r}")
        return rubber


class Answers(Strict):
    """What a builder knows. What is None was not answered, and is sized to the rest."""

    rotor_mm: float | None = Field(
        default=None, ge=150.0, le=800.0, description="Rotor across: a ruler over the hub, tip to tip."
    )
    weight_g: float | None = Field(
        default=None,
        ge=2.0,
        le=60.0,
        description="Weight ready to fly, rubber in; before it is built: what you aim at.",
    )
    material: Literal["balsa", "printed"] | None = Field(
        default=None, description="What hub and mounts are made of; blades and stick are wood."
    )
    rubber: str | None = Field(
        default=None, description="Strands x width x thickness, as 6x2x1; a loop of one strip has two strands."
    )
    rubber_mm: float | None = Field(
        default=None, ge=40.0, le=800.0, description="Length of the skein made up, lying straight, not stretched."
    )
    sense: Literal["counter-clockwise", "clockwise"] | None = Field(
        default=None, description="Which way the rotor turns, seen from above."
    )
    hall_m: float | None = Field(default=None, ge=0.0, le=100.0, description="Floor to the lowest beam of the hall; 0 for a field.")  # fmt: skip

    @classmethod
    def of(cls, given: dict[str, Any]) -> Self:
        """From what was given, keys as above. Raises BadInput, one line."""
        return validated(cls, given, Places("new"))


# key of Answers -> what is asked; the field's own words say how to measure it
ASKED: Final = {
    "rotor_mm": "Rotor across, in mm",
    "weight_g": "Weight, in g",
    "material": "Hub and mounts",
    "rubber": "Rubber",
    "rubber_mm": "Length of the skein, in mm",
    "sense": "Rotor turns",
    "hall_m": "Height of the hall, in m",
}


# the questions that have words to choose from
CHOICES: Final[dict[str, tuple[str, ...]]] = {
    key: words
    for key, field in Answers.model_fields.items()
    if (words := tuple(word for each in get_args(field.annotation) for word in get_args(each)))
}


@dataclass(frozen=True)
class Known:
    """All answers, those that were not given filled in."""

    rotor_mm: float
    weight_g: float
    material: str
    rubber: Rubber
    rubber_mm: float
    sense: str
    hall_m: float

    @property
    def scale(self) -> float:
        """Size over that of the template [1]."""
        return self.rotor_mm / PATTERN_MM

    @property
    def hand(self) -> float:
        """1 for a rotor that turns counter-clockwise, seen from above, -1 for its mirror image."""
        return 1.0 if self.sense == "counter-clockwise" else -1.0


def plain_default(answers: Answers, key: str) -> Any:
    """What is taken for an answer that was not given, rubber apart.

    Weight goes with the square of the rotor's size, as the discs of such craft carry about alike: own choice, no source
    """
    given = getattr(answers, key)
    if given is not None:
        return given
    if key == "rotor_mm":
        return PATTERN_MM if answers.weight_g is None else round(PATTERN_MM * math.sqrt(answers.weight_g / PATTERN_G))
    rotor = plain_default(answers, "rotor_mm") if key in ("weight_g", "rubber_mm") else 0.0
    return {
        "weight_g": round(PATTERN_G * (rotor / PATTERN_MM) ** 2, 1),
        "rubber_mm": float(round(PATTERN_SKEIN_MM * rotor / PATTERN_MM)),
        "material": "balsa",
        "sense": "counter-clockwise",
        "hall_m": FIRST_FLIGHT["room"]["ceiling_m"],
    }[key]
