"""Will the stick take it: pull and torque of the wound skein and the tail's cord against what stick and boom bear."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from paddlebar.craft.motors import motor_of
from paddlebar.craft.strength.beams import Section, euler_load, euler_with_torque, pressed_and_bent
from paddlebar.craft.strength.materials import Stuff
from paddlebar.craft.strength.members import Member, boom_of, meeting_point, member, offset_from_skein, stick_of
from paddlebar.files.craft import Craft
from paddlebar.files.strict import Spot
from paddlebar.physics.skein import pull
from paddlebar.units import to_si

STICK = ("buckling", "bending", "torsion")

# what a part does when the load passes what it bears
FAILS = {
    "buckling": "bows out", "bending": "breaks by bending", "torsion": "splits by twisting",
    "boom bending": "breaks at its root", "boom buckling": "bows out under its cord",
}  # fmt: skip

End = Literal["nominal", "low"]


@dataclass(frozen=True)
class Factor:
    """One way to fail.

    name    : "buckling", "bending", "torsion" of the stick; "boom buckling", "boom bending"; "tail buckling", "tail bending", "tail torsion"
        of what bears the tail's own skein, if it has one, at 85 % of its breaking turns
    part    : which part;  material : of which stuff;  how : the load and what bears it, in words
    nominal : by how much the load may grow, material as in the handbook [1];  low : with a poor piece;  inf: no such load
    """

    name: str
    part: str
    material: str
    how: str
    nominal: float
    low: float


@dataclass(frozen=True)
class Strength:
    """Stick and boom at so many turns.

    turns, breaking_turns : [turns];  torque_nm : greatest, freshly wound [N m];  pull_n : of the skein on the hooks [N]
    stick, boom  : as found, None if there is none;  offset_m : of the stick from the skein [m];  length_m : between the hooks [m]
    cord_moment_nm : by which the cord bends stick and boom where they meet [N m]
    twist_rad    : of the stick by the torque, material as in the handbook [rad]; nan if unknown
    factors      : safety factors;  unknown : why those of the stick cannot be had, or ""
    """

    turns: float
    breaking_turns: float
    torque_nm: float
    pull_n: float
    stick: Member | None
    boom: Member | None
    offset_m: float
    length_m: float
    cord_moment_nm: float
    twist_rad: float
    factors: tuple[Factor, ...]
    unknown: str

    def factor(self, name: str) -> float:
        """Safety factor of that name, material as in the handbook [1]; nan where it is not known."""
        return next((each.nominal for each in self.factors if each.name == name), math.nan)

    @property
    def materials(self) -> dict[str, Stuff]:
        """What stick and boom are taken to be made of, by part."""
        held = [each for each in (self.stick, self.boom) if each is not None]
        return {each.part: each.material for each in held if each.material is not None}

    @property
    def buckling(self) -> float:
        return self.factor("buckling")

    @property
    def bending(self) -> float:
        return self.factor("bending")

    @property
    def torsion(self) -> float:
        return self.factor("torsion")

    @property
    def stick_margin(self) -> float:
        """Least safety factor of the stick, material as in the handbook [1]; below 1 it breaks; nan where it is not known."""
        return self._least("nominal")

    @property
    def stick_margin_low(self) -> float:
        """The same with a poor piece of the material [1]."""
        return self._least("low")

    def _least(self, end: End) -> float:
        found = [getattr(each, end) for each in self.factors if each.name in STICK]
        return min(found) if found else math.nan


def stick_strength(craft: Craft, turns: float | None = None, temperature_C: float = 20.0) -> Strength:
    """Safety factors of stick and boom at so many turns of the skein. A tenth of a millisecond or two: cheap enough for a search.

    craft         : description (file units)
    turns         : wound [turns]; None: 85 % of breaking turns. Of a scenario: `scenario.skein.turns`, not what is left after
        backing off: the stick must bear the winding
    temperature_C : warm rubber pulls harder
    Returns       : Strength; factors of a stick that is not there or whose material is unknown are absent, `unknown` says why
    Holds for     : a straight stick; what glue joints, knots and a hard landing do is not in it

    Loads. Torque Q: upper branch of the rubber's loop. Pull F(Q): physics/skein.py, an order of size. Stick and skein are bow and
    string, so the stick buckles as with free-turning ends between the hooks, and a skein beside it bends it (secant formula).
    Cord: both runs, 2 T0, pull the drive pulley towards the tail; the boom pushes back lower or higher, which bends stick and boom where
    they meet by 2 T0 times the distance of that place from the cord's line. The tail holds up to Q with its arm: the boom's root
    bears that sideways. Moments are added as if in one plane, which is on the safe side.
    """
    motor = motor_of(craft.skein, to_si("temperature_C", temperature_C))
    wound = motor.safe if turns is None else turns
    torque = motor.torque(wound, 1.0)
    frame = Frame.of(craft)
    stick = frame.stick
    twist = math.nan
    if not frame.unknown and stick is not None and stick.section is not None and stick.material is not None:
        twist = torque * frame.length / (stick.material.shear_modulus.nominal * stick.section.torsion)
    factors = (*frame.factors(torque, motor.section), *tail_factors(craft, temperature_C))
    force = float(pull(torque, motor.section))
    return Strength(
        wound, motor.breaking, torque, force, stick, frame.boom, frame.offset, frame.length, frame.cord, twist, factors, frame.unknown
    )  # fmt: skip


@dataclass(frozen=True)
class Frame:
    """What bears the main skein and the tail, whatever the skein is wound to.

    stick, boom : None if there is none;  tension : both runs of the cord [N];  cord : moment by which it bends stick and boom where they meet [N m]
    offset      : of the stick from the skein [m];  length : between the hooks [m];  free : of the boom beyond the stick [m]
    unknown     : why the stick's factors cannot be had, or ""
    """

    stick: Member | None
    boom: Member | None
    tension: float
    cord: float
    offset: float
    length: float
    free: float
    unknown: str

    @classmethod
    def of(cls, craft: Craft) -> Frame:
        """Of a craft."""
        found = stick_of(craft)
        stick = member(found) if found is not None else None
        wood = boom_of(craft, found)
        boom = member(wood) if wood is not None else None
        tension = 2e-3 * craft.tail.cord_tension_mN if craft.tail is not None and craft.tail.drive == "cord" else 0.0
        root = meeting_point(boom, stick) if boom is not None and stick is not None else None
        free = math.nan
        if boom is not None:
            held = boom.start if root is None else root
            free = 1e-3 * max(math.dist(held, end) for end in (boom.start, boom.end))
        offset = 1e-3 * offset_from_skein(stick, craft.skein) if stick is not None else math.nan
        length = 1e-3 * math.dist(*craft.skein.hooks_mm)
        return cls(
            stick, boom, tension, tension * 1e-3 * _lever_mm(craft, root), offset, length, free, _unknown(stick, offset)
        )

    def factors(self, torque: float, section: float) -> list[Factor]:
        """Of stick and boom while the skein, of that section [m^2], gives that torque [N m]."""
        found: list[Factor] = []
        stick, boom = self.stick, self.boom
        if not self.unknown and stick is not None and stick.section is not None and stick.material is not None:
            force = float(pull(torque, section))
            found += _stick(stick, stick.section, stick.material, torque, force, self.offset, self.length, self.cord)
        if boom is not None and boom.section is not None and boom.material is not None:
            found += _boom(boom, boom.section, boom.material, torque, self.tension, self.cord, self.free)
        return found


def _stick(
    stick: Member,
    section: Section,
    stuff: Stuff,
    torque: float,
    force: float,
    offset: float,
    length: float,
    cord: float,
) -> list[Factor]:
    """Buckling, bending and torsion of the stick."""

    def buckling(end: End) -> float:
        return euler_with_torque(force, torque, getattr(stuff.youngs, end) * section.inertia, length)

    def bending(end: End) -> float:
        return pressed_and_bent(
            section, pull=force, offset=offset, moment=cord, length=length, youngs=getattr(stuff.youngs, end),
            compression=getattr(stuff.compression, end), bending=getattr(stuff.bending, end),
        )  # fmt: skip

    def torsion(end: End) -> float:
        return _over(getattr(stuff.shear, end) * section.torsion_modulus, torque)

    bends = f"a pull of {force:.3g} N, {1e3 * offset:.2g} mm beside its middle"
    if cord > 0.0:
        bends += f", and the cord with {1e3 * cord:.3g} mN m"
    says = {
        "buckling": f"a pull of {force:.3g} N and a torque of {1e3 * torque:.3g} mN m over {1e3 * length:.3g} mm",
        "bending": bends,
        "torsion": f"a torque of {1e3 * torque:.3g} mN m",
    }
    ways = {"buckling": buckling, "bending": bending, "torsion": torsion}
    return [Factor(name, stick.part, stuff.name, says[name], way("nominal"), way("low")) for name, way in ways.items()]


def tail_factors(craft: Craft, temperature_C: float, turns: float | None = None) -> list[Factor]:
    """The same three for what bears the tail's own skein at so many turns (None: as many as are safe).

    None without such a skein, or if that part, its measures or material are not known.
    """
    skein = craft.tail.skein if craft.tail is not None else None
    found = stick_of(craft, skein) if skein is not None else None
    if skein is None or found is None:
        return []
    stick = member(found)
    offset = 1e-3 * offset_from_skein(stick, skein)
    if stick.section is None or stick.material is None or not math.isfinite(offset):
        return []
    motor = motor_of(skein, to_si("temperature_C", temperature_C))
    torque = motor.torque(motor.safe if turns is None else turns, 1.0)
    force, length = float(pull(torque, motor.section)), 1e-3 * math.dist(*skein.hooks_mm)
    three = _stick(stick, stick.section, stick.material, torque, force, offset, length, 0.0)
    return [replace(each, name=f"tail {each.name}") for each in three]


def _boom(
    boom: Member, section: Section, stuff: Stuff, torque: float, tension: float, cord: float, length: float
) -> list[Factor]:
    """Buckling of the boom under its cord and bending at its root, by cord and tail rotor together."""
    # the cord bends it up or down, the tail sideways: on a round boom the moments add as vectors
    moment = math.hypot(cord, torque) if section.round else cord + torque
    found = [
        Factor(
            "boom bending", boom.part, stuff.name,
            f"the tail's push with {1e3 * torque:.3g} mN m and the cord with {1e3 * cord:.3g} mN m at its root",
            _over(stuff.bending.nominal * section.modulus, moment), _over(stuff.bending.low * section.modulus, moment),
        )
    ]  # fmt: skip
    if tension > 0.0:
        found.append(
            Factor(
                "boom buckling", boom.part, stuff.name,
                f"both runs of the cord pull with {tension:.3g} N over {1e3 * length:.3g} mm",
                euler_load(stuff.youngs.nominal * section.inertia, length) / tension,
                euler_load(stuff.youngs.low * section.inertia, length) / tension,
            )
        )  # fmt: skip
    return found


def _over(capacity: float, load: float) -> float:
    return capacity / load if load > 0.0 else math.inf


def _lever_mm(craft: Craft, root: Spot | None) -> float:
    """Distance of the place where boom and stick meet from the line of the cord [mm]; 0 where there is no such place."""
    tail = craft.tail
    if tail is None or root is None:
        return 0.0
    drive = tail.drive_pulley_at_mm or craft.skein.hooks_mm[0]
    span = math.dist(drive, tail.at_mm)
    if span == 0.0:
        return 0.0
    d = [(b - a) / span for a, b in zip(drive, tail.at_mm, strict=True)]
    r = [b - a for a, b in zip(drive, root, strict=True)]
    along = math.fsum(a * b for a, b in zip(d, r, strict=True))
    return math.sqrt(max(0.0, math.fsum(a * a for a in r) - along * along))


def _unknown(stick: Member | None, offset: float) -> str:
    """Why the strength of the stick cannot be had, or ""."""
    if stick is None:
        return "no part lies along the skein; name the one that bears its pull by skein.stick"
    if stick.section is None:
        return f"part {stick.part} needs its thickness: diameter_mm, for a tube wall_mm, for a plate width_mm and thickness_mm"
    if not math.isfinite(offset):
        return f"part {stick.part} does not lie beside the skein; name another by skein.stick"
    if stick.material is None:
        return f"part {stick.part} needs a material: nothing that builders use has {stick.density:.0f} kg/m3"
    return ""
