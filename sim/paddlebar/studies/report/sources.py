"""Which relations a flight used, and where each comes from: read off the data sheets of the equations themselves."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Final

from paddlebar.craft.motors import MOTORS, kind_of
from paddlebar.craft.sections import SECTIONS
from paddlebar.files.craft import Skein
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.scenario import Scenario
from paddlebar.files.tables import section_name

_NEXT: Final = re.compile(r"^ {0,4}[A-Z][\w ,]* *:")  # the next line of a data sheet
_SOURCE: Final = re.compile(r"\bSource\b *: *(.*)", re.DOTALL)


@dataclass(frozen=True)
class Relation:
    """One relation that was used.

    part : what it is about;  function : where it stands, without the package's name, "" for a table;  source : as its data sheet has it
    """

    part: str
    function: str
    source: str


@dataclass(frozen=True)
class Row:
    """Functions that a flight uses, and when it does."""

    part: str
    functions: tuple[str, ...]
    when: Callable[[Scenario], bool] = lambda _: True


def _seesaw(s: Scenario) -> bool:
    return BARS[s.craft.bar.kind].tilts


def _hinged(s: Scenario) -> bool:
    return _seesaw(s) or HEADS[s.craft.head.kind].hinged


def _cord(s: Scenario) -> bool:
    return s.craft.tail is not None and s.craft.tail.drive == "cord"


def _wound(s: Scenario) -> list[Skein]:
    """Skeins that have turns in them."""
    tail = s.craft.tail.skein if s.craft.tail is not None and s.craft.tail.drive == "skein" else None
    both = ((s.craft.skein, s.skein.turns), (tail, s.skein.tail_turns))
    return [skein for skein, turns in both if skein is not None and turns > 0.0]


def _driven_by(name: str) -> Callable[[Scenario], bool]:
    """Is a motor of this name at work?"""
    return lambda s: any(kind_of(skein)[0] == name for skein in _wound(s))


def _modelled_air(s: Scenario) -> bool:
    return s.air.density_kg_m3 is None


# In the order in which a reader asks: motion, rotor, bar, tail, body, rubber, air.
ROWS: Final = (
    Row("motion of the linked bodies", ("physics.bodies.add_body", "physics.bodies.solve", "physics.mechanism.add_blade", "physics.attitude.quaternion_rate")),
    Row("blades", ("physics.blade.element_load", "physics.blade.blade_loads", "physics.section.coefficients")),
    Row("stall of turning blades", ("physics.stall_delay.stall_delay",), lambda s: s.run.stall_delay),
    Row("shape of the inflow along the blade", ("physics.annular.ring_excess",), lambda s: s.run.radial_inflow == "annular"),
    Row("tip loss", ("physics.tip_loss.tip_loss",), lambda s: s.run.tip_loss and s.run.radial_inflow == "annular"),
    Row("inflow", ("physics.inflow.inflow_rates", "physics.inflow.axial_flow", "physics.inflow.axial_flow_factor", "physics.inflow.descent_excess"), lambda s: s.run.inflow == "dynamic"),
    Row("ground effect", ("physics.ground.induced_share",), lambda s: s.room.ground_effect),
    Row("hinges", ("physics.hinge.hinge_moment", "physics.hinge.stop_moment", "physics.hinge.dry_friction"), _hinged),
    Row("bar", ("physics.bar.arm_loads",), lambda s: BARS[s.craft.bar.kind].present),
    Row("linkage", ("physics.linkage.feathering",), _seesaw),
    Row("tail rotor", ("physics.tail.tail_loads", "physics.inflow.uniform_rate"), lambda s: s.craft.tail is not None),
    Row("cord", ("physics.cord.grip_torque", "physics.cord.drive_loss"), _cord),
    Row("airframe", ("physics.airframe.airframe_loads", "physics.airframe.station_load")),
    Row("wash of the rotor", ("physics.wash.wash_share", "physics.wash.wash_met")),
    *(Row(f"rubber: {name}", (kind.relation,), _driven_by(name)) for name, kind in MOTORS.items() if kind.relation),
    Row("rubber: loss", ("physics.skein.set_rate",), lambda s: bool(_wound(s))),
    Row("rubber: breaking turns", ("physics.skein_limits.breaking_turns",)),
    Row("rubber: pull", ("physics.skein.pull",), lambda s: s.skein.turns > 0.0),
    Row("air", ("physics.air.density", "physics.air.viscosity"), _modelled_air),
    Row("wind", ("physics.wind.shear",), lambda s: s.air.wind_m_s > 0.0),
    Row("gust", ("physics.wind.gust_share",), lambda s: s.air.gust_m_s > 0.0),
    Row("turbulence", ("craft.turbulence.scales", "craft.turbulence.spectrum"), lambda s: s.air.turbulence),
)  # fmt: skip

MARGINS: Final = ("stability.analysis.margins",)


def relations(scenario: Scenario, *, margins: bool = False) -> tuple[Relation, ...]:
    """The relations that a flight of this scenario used, each with its source.

    scenario : as flown;  margins : those of the margins too
    """
    found = [Relation(row.part, name, source(name)) for row in ROWS if row.when(scenario) for name in row.functions]
    found += [Relation(f"section of the {part}", "", words) for part, words in _sections(scenario)]
    if margins:
        found += [Relation("margins", name, source(name)) for name in MARGINS]
    return tuple(found)


def source(name: str) -> str:
    """What the data sheet of a function names as its source; where it names none, that of its file.

    name : dotted, without the package, as "physics.tail.tail_loads"
    Raises : LookupError if neither names one
    """
    module_name, _, function = name.rpartition(".")
    module = import_module(f"paddlebar.{module_name}")
    sheets = (inspect.getdoc(getattr(module, function)), inspect.getdoc(module))
    for sheet in sheets:
        found = _SOURCE.search(sheet or "")
        if found is not None:
            return _joined(found[1])
    raise LookupError(f"{name} names no source")


def _joined(rest: str) -> str:
    """The lines that belong to the source, up to the next entry of the sheet or an empty line, as one."""
    kept: list[str] = []
    for line in rest.splitlines():
        if kept and (not line.strip() or _NEXT.match(line)):
            break
        kept.append(line.strip())
    return " ".join(kept).rstrip(".")


def _sections(scenario: Scenario) -> list[tuple[str, str]]:
    """Parts with a section, and where its table comes from."""
    craft = scenario.craft
    used = [("blades", craft.rotor.section)]
    if craft.bar.has_paddles:
        used.append(("paddles", craft.bar.paddle_section))
    if craft.tail is not None:
        used.append(("tail rotor", craft.tail.section))
    return [
        (part, f"{name}: {SECTIONS[name].source}" if name in SECTIONS else f"your own table, {section_name(name)}")
        for part, name in used
    ]
