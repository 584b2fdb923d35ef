"""What builders' materials bear: stiffness and strength along grain or fibre, with their spread and where each figure comes from.

Marks as in docs/inside/sources.md: [T] read in a public transcription, [A] abstract read, [C] computed, [M] from memory; addresses of the pages:
references 7.1 there. The low end of a spread is what a poor piece bears; safety factors are given for both.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, get_args

from paddlebar.files.parts import Material


@dataclass(frozen=True)
class Span:
    """A figure with its spread, one unit for all three, and its source."""

    low: float
    nominal: float
    high: float
    source: str

    def times(self, factor: float) -> Span:
        return replace(self, low=factor * self.low, nominal=factor * self.nominal, high=factor * self.high)


@dataclass(frozen=True)
class Stuff:
    """A material.

    density : [kg/m^3];  youngs : along the length, E [Pa];  shear_modulus : G of twisting a stick [Pa]
    compression, bending : strength along the length [Pa];  shear : strength along the length in torsion [Pa]
    by_density : all strengths grow in proportion to density, which is then taken from the weighed part
    """

    name: str
    density: Span
    youngs: Span
    shear_modulus: Span
    compression: Span
    bending: Span
    shear: Span
    by_density: bool = False

    def strengths(self) -> tuple[tuple[str, Span], ...]:
        """Words and span of all that is measured in Pa."""
        return (
            ("stiffness E", self.youngs),
            ("shear stiffness G", self.shear_modulus),
            ("in compression", self.compression),
            ("in bending", self.bending),
            ("in shear", self.shear),
        )

    def of_density(self, density: float) -> Stuff:
        """The same material at another density [kg/m^3], if it is one that goes by density; within what grows or is made."""
        if not self.by_density:
            return self
        found = min(max(density, self.density.low), self.density.high)
        factor = found / self.density.nominal
        return replace(
            self,
            **{
                key: getattr(self, key).times(factor)
                for key in ("youngs", "shear_modulus", "compression", "bending", "shear")
            },
        )


def _spread(nominal: float, down: float, up: float, source: str) -> Span:
    return Span(nominal * (1.0 - down), nominal, nominal * (1.0 + up), source)


_HANDBOOK = "USDA Wood Handbook FPL-GTR-190, 12 % moisture"
_BALSA_E = f"{_HANDBOOK}, quoted on a public page [T]; along the grain and in bending; spread 25 % [M]"
_BALSA_C = f"{_HANDBOOK}, quoted on a public page [T]; poor: 7 MPa at 130 kg/m3, database page [T]"
_BALSA_M = f"{_HANDBOOK}, from memory [M]; spread 25 % [M]"
_BALSA_G = f"{_HANDBOOK}, table 5-1, G/E .054 and .037 from memory [M], their mean of 1.1 x 3.4 GPa [C]; best: 0.23 GPa at 130 kg/m3, database page [T]"
_LINEAR = "in proportion to density, 60 to 380 kg/m3: M. Borrega, L. J. Gibson, Mech. Materials 84 (2015) 75 [A]"

# Balsa at 160 kg/m3; every other balsa is this one in proportion to density. One builder's table has E of 0.5 to 1.3 GPa, a third of
# what all others have; it is not followed.
_BALSA = Stuff(
    name="balsa",
    density=Span(60.0, 160.0, 380.0, _LINEAR),
    youngs=_spread(3.4e9, 0.25, 0.25, _BALSA_E),
    shear_modulus=_spread(170e6, 0.25, 0.70, _BALSA_G),
    compression=_spread(14.9e6, 0.45, 0.30, _BALSA_C),
    bending=_spread(21.6e6, 0.25, 0.25, _BALSA_M),
    shear=_spread(2.1e6, 0.25, 0.25, _BALSA_M),
    by_density=True,
)


def _grade(name: str, low: float, nominal: float, high: float) -> Stuff:
    """Balsa by the grade on the sheet: its own density is not asked, so that the grade's own range widens the spread."""

    def graded(old: Span) -> Span:
        at = [each / _BALSA.density.nominal for each in (low, nominal, high)]
        return Span(old.low * at[0], old.nominal * at[1], old.high * at[2], f"{old.source}; {_LINEAR}")

    grades = "a seller's page: 4 to 6 lb/ft3 the lightest, 8 to 12 medium, up to 18 in the general run [T]; rounded"
    return Stuff(
        name=name,
        density=Span(low, nominal, high, grades),
        youngs=graded(_BALSA.youngs),
        shear_modulus=graded(_BALSA.shear_modulus),
        compression=graded(_BALSA.compression),
        bending=graded(_BALSA.bending),
        shear=graded(_BALSA.shear),
    )


_SPRUCE = "Sitka spruce, a saw mill's page [T], and as in the Wood Handbook from memory [M]; spread: 1.645 times its coefficients of variation, 22, 18, 16, 14 % for E, compression, bending, shear [M]"
_CARBON = "data sheet of a maker of pultruded tubes, least values [T]; spread [M]"
_PRINT = "tables of printed specimens, in and across the layers [T]: low end across the layers"

_ROWS = (
    _BALSA,
    _grade("light balsa", 60.0, 90.0, 120.0),
    _grade("medium balsa", 120.0, 160.0, 192.0),
    _grade("hard balsa", 192.0, 230.0, 300.0),
    Stuff(
        name="spruce",
        density=Span(340.0, 430.0, 520.0, "Sitka spruce, a saw mill's page [T]; spread [M]"),
        youngs=_spread(11.2e9, 0.36, 0.36, _SPRUCE),
        shear_modulus=_spread(700e6, 0.36, 0.36, "Wood Handbook table 5-1, G/E .064 and .061, from memory [M]"),
        compression=_spread(38.7e6, 0.30, 0.30, _SPRUCE),
        bending=_spread(69.9e6, 0.26, 0.26, _SPRUCE),
        shear=_spread(7.9e6, 0.23, 0.23, _SPRUCE),
    ),
    Stuff(
        name="pultruded carbon",
        density=Span(1400.0, 1500.0, 1650.0, _CARBON),
        youngs=Span(105e9, 127e9, 140e9, _CARBON),
        shear_modulus=Span(
            3.0e9, 4.3e9, 5.5e9, "elastic constants of a unidirectional carbon laminate [T]; spread [M]"
        ),
        compression=Span(500e6, 800e6, 1100e6, "from memory [M]"),
        bending=Span(800e6, 1370e6, 1600e6, _CARBON),
        shear=Span(30e6, 41e6, 60e6, _CARBON),
    ),
    Stuff(
        name="wrapped carbon",
        density=Span(1350.0, 1500.0, 1650.0, "from memory [M]"),
        youngs=Span(50e9, 80e9, 120e9, "from memory [M]; depends on how the cloth lies"),
        shear_modulus=Span(5e9, 12e9, 25e9, "from memory [M]; depends on how the cloth lies"),
        compression=Span(250e6, 450e6, 700e6, "from memory [M]"),
        bending=Span(300e6, 600e6, 900e6, "from memory [M]"),
        shear=Span(50e6, 90e6, 200e6, "from memory [M]"),
    ),
    Stuff(
        name="printed PLA",
        density=Span(1000.0, 1240.0, 1310.0, f"{_PRINT}; less when not filled [M]"),
        youngs=Span(2.0e9, 3.0e9, 4.0e9, _PRINT),
        shear_modulus=Span(0.7e9, 1.1e9, 1.4e9, "E/2(1 + 0.36) [C]"),
        compression=Span(30e6, 50e6, 70e6, "taken as in tension; from memory [M]"),
        bending=Span(26e6, 50e6, 65e6, f"{_PRINT}, tensile strength, on the safe side"),
        shear=Span(15e6, 27e6, 38e6, "0.58 of the tensile strength (von Mises) [C]"),
    ),
    Stuff(
        name="printed PETG",
        density=Span(1050.0, 1270.0, 1290.0, f"{_PRINT}; less when not filled [M]"),
        youngs=Span(1.5e9, 2.1e9, 3.0e9, _PRINT),
        shear_modulus=Span(0.5e9, 0.77e9, 1.1e9, "E/2(1 + 0.37) [C]"),
        compression=Span(25e6, 45e6, 56e6, "taken as in tension; from memory [M]"),
        bending=Span(25e6, 45e6, 56e6, f"{_PRINT}, tensile strength, on the safe side"),
        shear=Span(14e6, 25e6, 32e6, "0.58 of the tensile strength (von Mises) [C]"),
    ),
    Stuff(
        name="printed nylon",
        density=Span(900.0, 1010.0, 1150.0, "from memory [M]"),
        youngs=Span(
            0.7e9, 1.4e9, 2.0e9, "printed PA12, table of makers' figures [T]; spread [M], moist nylon is softer"
        ),
        shear_modulus=Span(0.25e9, 0.5e9, 0.7e9, "E/2(1 + 0.39) [C]"),
        compression=Span(20e6, 43e6, 55e6, "taken as in tension [T]; spread [M]"),
        bending=Span(20e6, 43e6, 55e6, "printed PA12, tensile strength, table of makers' figures [T]; spread [M]"),
        shear=Span(12e6, 25e6, 32e6, "0.58 of the tensile strength (von Mises) [C]"),
    ),
    Stuff(
        name="music wire",
        density=Span(7750.0, 7800.0, 7900.0, "ASTM A228, materials database page [T]; spread [M]"),
        youngs=Span(190e9, 200e9, 210e9, "190 GPa materials database page [T], to 207 in spring handbooks [M]"),
        shear_modulus=Span(72e9, 79e9, 82e9, "72 GPa materials database page [T], to 82 in spring handbooks [M]"),
        compression=Span(1600e6, 2050e6, 2400e6, "yield, materials database page [T]; thinner is stronger [M]"),
        bending=Span(1600e6, 2050e6, 2400e6, "yield, materials database page [T]; thinner is stronger [M]"),
        shear=Span(900e6, 1180e6, 1470e6, "0.58 of yield (von Mises) [C]; 1470 MPa to break, database page [T]"),
    ),
)

MATERIALS: Final[dict[str, Stuff]] = {row.name: row for row in _ROWS}
NAMES: Final[tuple[str, ...]] = get_args(Material)

# A part without a named material: what is most likely at its density [kg/m^3]; own choice, said to the user.
_LIKELY = ((60.0, 330.0, "balsa"), (330.0, 550.0, "spruce"), (900.0, 1350.0, "printed PLA"))
_LIKELY_HEAVY = ((1350.0, 1700.0, "pultruded carbon"), (7000.0, 8500.0, "music wire"))


def likely(density: float) -> Stuff | None:
    """The material that a part of this density [kg/m^3] is most likely made of, at that density; None for no such thing."""
    for low, high, name in (*_LIKELY, *_LIKELY_HEAVY):
        if low <= density < high:
            return MATERIALS[name].of_density(density)
    return None
