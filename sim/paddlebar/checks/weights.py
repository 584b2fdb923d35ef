"""Weights, centre of gravity and inertia of a whole craft, and how to bring the centre of gravity under the shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft import mesh_part
from paddlebar.craft.numbers import Numbers
from paddlebar.craft.parts import MassProperties
from paddlebar.craft.places import body_place, file_mm
from paddlebar.craft.shape import hub_of
from paddlebar.craft.standing import contact_points
from paddlebar.craft.strength.members import AnyPart, boom_of, density, stick_of, stuff, volume_mm3
from paddlebar.files.craft import Craft, weights_g
from paddlebar.files.parts import MeshPart, RodPart, TubePart
from paddlebar.units import GRAVITY

Array = NDArray[np.float64]

# Own choices, no source.
SHOWN_MOVES, FURTHEST_MOVE_MM = 3, 80.0
TRIALS = 12  # each leaves a third of the error or less
LEAST_LEVER = 1e-3  # m; nearer to the shaft a tail holds nothing


@dataclass(frozen=True)
class Weight:
    """A row of the table. share : of the whole [1];  density_kg_m3 : mass over volume, nan where the file gives no volume;
    material : named in the file, else the likeliest at that density in brackets, else ""."""

    name: str
    mass_g: float
    share: float
    density_kg_m3: float
    material: str


@dataclass(frozen=True)
class Moved:
    """Part `part` moved by [forward, right, up] mm brings the centre of gravity onto the shaft's line."""

    part: str
    by_mm: tuple[float, float, float]


@dataclass(frozen=True)
class Balance:
    """Where the weight is. Places [forward, right, up] in mm from the builder's datum, rotor and bar averaged over a turn.

    total_g         : of all entries;  cg_mm : centre of gravity
    below_hub_mm    : along the shaft;  off_shaft_mm : [forward, right] of the shaft's line, at its own height
    wanted_mm       : where it should be, [forward, right] of the shaft's line: on it but for the tail, whose push, in hover, above or
        below the centre of gravity rolls the craft unless the rotor's pull passes beside that
    lean_deg        : by which the shaft leans in hover because it is not there, top [forward, right]
    inertia_kg_m2   : about the centre of gravity: rolling, pitching, yawing, rotor and bar carried along but not turning
    rotor_kg_m2, bar_kg_m2 : of blades with hub, and of the bar, about the shaft
    moves           : of the heaviest parts that can be moved, each alone, level, brings it there
    ballast_g, ballast_mm : brings it there but for the sides;  0: none does
    tilt_deg        : change of the shaft's tilt, top [forward, right], that brings it there
    """

    total_g: float
    cg_mm: tuple[float, float, float]
    below_hub_mm: float
    off_shaft_mm: tuple[float, float]
    wanted_mm: tuple[float, float]
    lean_deg: tuple[float, float]
    inertia_kg_m2: tuple[float, float, float]
    rotor_kg_m2: float
    bar_kg_m2: float
    moves: tuple[Moved, ...]
    ballast_g: float
    ballast_mm: tuple[float, float, float]
    tilt_deg: tuple[float, float]


def weight_table(craft: Craft) -> tuple[Weight, ...]:
    """Every weight of the craft, heaviest first."""
    total = math.fsum(weights_g(craft).values())
    parts = {f"part {part.name}": part for part in craft.part}
    rows = []
    for name, mass in weights_g(craft).items():
        part = parts.get(name)
        found = density(mass, volume_mm3(part)) if part is not None else math.nan
        named = part.material if part is not None else craft.rotor.material if name == "blades" else None
        material: str = named or ""
        if part is not None and not named:
            likeliest, _ = stuff(None, found)
            material = f"({likeliest.name}?)" if likeliest is not None else ""
        rows.append(Weight(name.removeprefix("part "), mass, mass / total, found, material))
    return tuple(sorted(rows, key=lambda row: -row.mass_g))


def balance(craft: Craft, numbers: Numbers, torque: float = 0.0) -> Balance:
    """Centre of gravity, inertia, and what would bring the one under the shaft.

    craft, numbers : description, and what craft.build makes of it
    torque : that the air takes from the rotor in hover [N m]; the tail's push holds it

    Moments about the centre of gravity, the rotor's pull W n along the shaft, which passes -wanted from it, tail's push P at r:
        -wanted x W n + r x P = 0 across n, hence wanted = n x (r x P) / W
    Source : statics; sums and the parallel-axis theorem; a rotor averaged over a turn keeps its inertia about the shaft, and has the mean of
        its two others across it
    Checked: tests/checks/test_weights.py, by hand and against the centre of gravity of a flight
    """
    p = numbers.params[0]
    place = _Place(p, torque)
    hub, axis = np.asarray(p["hub_place"]), np.asarray(p["shaft_axis"])
    total = MassProperties(float(p["body_mass"]), np.array(p["body_moment"]), np.array(p["body_inertia"]))
    total.add(float(p["hub_mass"]), hub, _turned(float(p["hub_polar"]), float(p["hub_diametral"]), axis))
    blade = _averaged(p["blade_mass"], p["blade_centre"], p["blade_inertia"], p["precone"], p["hinge_offset"])
    rotor = float(p["hub_polar"])
    for _ in range(int(p["blades"])):
        total.add(blade[0], hub + blade[1] * axis, _turned(blade[2], blade[3], axis))
        rotor += blade[2]
    bar = 0.0
    if p["bar_mass"] > 0.0:
        each = _averaged(p["bar_mass"], p["bar_centre"], p["bar_inertia"], 0.0, 0.0)
        total.add(each[0], hub + (float(p["bar_height"]) + each[1]) * axis, _turned(each[2], each[3], axis))
        bar = each[2]
    if p["tail_mass"] > 0.0:
        own = _turned(float(p["tail_polar"]), float(p["tail_diametral"]), np.asarray(p["tail_axis"]))
        total.add(float(p["tail_mass"]), np.asarray(p["tail_place"]), own)
    cg, depth, off, wanted = place.of(axis)
    about = total.inertia - total.mass * (cg @ cg * np.eye(3) - np.outer(cg, cg))
    error = off - wanted
    ballast, end = _ballast(craft, total.mass, hub, axis, error)
    return Balance(
        total_g=1e3 * total.mass,
        cg_mm=_builder(cg),
        below_hub_mm=1e3 * depth,
        off_shaft_mm=(1e3 * float(off[0]), 1e3 * float(off[1])),
        wanted_mm=(1e3 * float(wanted[0]), 1e3 * float(wanted[1])),
        lean_deg=_lean(error, depth),
        inertia_kg_m2=(float(about[0, 0]), float(about[1, 1]), float(about[2, 2])),
        rotor_kg_m2=rotor,
        bar_kg_m2=bar,
        moves=_moves(craft, total.mass, axis, error),
        ballast_g=ballast,
        ballast_mm=end,
        tilt_deg=place.tilt(axis),
    )


class _Place:
    """Where the centre of gravity is, and should be, for any direction of the shaft; what sits on the shaft goes with it."""

    def __init__(self, p: np.void, torque: float) -> None:
        blade = _averaged(p["blade_mass"], p["blade_centre"], p["blade_inertia"], p["precone"], p["hinge_offset"])
        bar = float(p["bar_mass"])
        # masses on the shaft, and the sum of mass times height above the hub
        turning = float(p["hub_mass"]) + int(p["blades"]) * blade[0] + bar
        self.raised = int(p["blades"]) * blade[0] * blade[1] + bar * (
            float(p["bar_height"]) + float(p["bar_centre"][2])
        )
        self.hub = np.asarray(p["hub_place"])
        self.tail, self.side = np.asarray(p["tail_place"]), np.asarray(p["tail_axis"])
        self.push = torque if p["tail_mass"] > 0.0 else 0.0
        standing = np.asarray(p["body_moment"]) + float(p["tail_mass"]) * self.tail
        self.moment = standing + turning * self.hub
        self.mass = float(p["body_mass"]) + float(p["tail_mass"]) + turning

    def of(self, axis: Array) -> tuple[Array, float, Array, Array]:
        """Centre of gravity [m], its depth below the hub along the shaft, its place from the shaft's line, and the wanted one [m].

        Wanted: where the tail's push does not roll or pitch the craft, see balance.
        """
        cg = (self.moment + self.raised * axis) / self.mass
        depth = float((self.hub - cg) @ axis)
        off = (cg - self.hub) + depth * axis
        across = np.cross(self.tail - cg, self.side)
        lever = abs(float(across @ axis))
        if self.push == 0.0 or lever < LEAST_LEVER:
            return cg, depth, off, np.zeros(3)
        return cg, depth, off, np.cross(axis, self.push / lever * across) / (self.mass * GRAVITY)

    def tilt(self, axis: Array) -> tuple[float, float]:
        """Change of the shaft's tilt, top [forward, right], that brings the centre of gravity where it is wanted [deg]."""
        start = [math.degrees(math.atan2(axis[k], -axis[2])) for k in (0, 1)]
        tilt = list(start)
        for _ in range(TRIALS):
            way = np.array([*(math.tan(math.radians(each)) for each in tilt), -1.0])
            _, depth, off, wanted = self.of(way / np.linalg.norm(way))
            tilt = [each + more for each, more in zip(tilt, _lean(off - wanted, depth), strict=True)]
        return tilt[0] - start[0], tilt[1] - start[1]


def _lean(error: Array, depth: float) -> tuple[float, float]:
    """Lean of the shaft's top [forward, right] for a centre of gravity that is off by `error` [deg]: away from the weight."""
    return -math.degrees(math.atan2(error[0], depth)), -math.degrees(math.atan2(error[1], depth))


def _turned(polar: float, across: float, axis: Array) -> Array:
    """Inertia of a body that looks alike all round an axis [kg m^2]."""
    return across * np.eye(3) + (polar - across) * np.outer(axis, axis)


def _averaged(
    mass: float, centre: Array, inertia: Array, cone: float, offset: float
) -> tuple[float, float, float, float]:
    """A body on the shaft averaged over a turn: mass [kg], height of its centre above the hub [m], inertia about the shaft and across
    it through that centre [kg m^2]. centre, inertia in its own axes (out, forward, up), raised by `cone` [rad] at `offset` [m]."""
    c, s = math.cos(cone), math.sin(cone)
    turn = np.array([[c, 0.0, -s], [0.0, 1.0, 0.0], [s, 0.0, c]])  # own axes -> hub's (out, forward, up)
    place = turn @ np.asarray(centre) + np.array([offset, 0.0, 0.0])
    flat = np.array([place[0], place[1], 0.0])
    own = turn @ np.asarray(inertia) @ turn.T + mass * (flat @ flat * np.eye(3) - np.outer(flat, flat))
    return float(mass), float(place[2]), float(own[2, 2]), float(0.5 * (own[0, 0] + own[1, 1]))


def _moves(craft: Craft, mass: float, axis: Array, error: Array) -> tuple[Moved, ...]:
    """The heaviest parts that can be moved, and how far each must go; none that must go far.

    Stick and boom stay, since they hold the others, and so does what sits on the shaft or round it.
    """
    stick = stick_of(craft)
    fixed = {part.name for part in (stick, boom_of(craft, stick)) if part is not None}
    on = hub_of(craft.shaft)
    loose = sorted(
        (
            part
            for part in craft.part
            if part.name not in fixed and part.mass_g > 0.0 and on.out_and_up(_middle(part))[0] > on.radius
        ),
        key=lambda part: -part.mass_g,
    )
    level = -(error - error[2] / axis[2] * axis)  # along the shaft a move does nothing, so it may as well be level
    moves = [Moved(part.name, _builder(level * mass / (1e-3 * part.mass_g))) for part in loose]
    return tuple(move for move in moves if math.hypot(*move.by_mm) <= FURTHEST_MOVE_MM)[:SHOWN_MOVES]


def _ballast(
    craft: Craft, mass: float, hub: Array, axis: Array, error: Array
) -> tuple[float, tuple[float, float, float]]:
    """Least ballast [g] against what is too far forward or back, and its place: the furthest end of a part. 0 if none helps."""
    ends = [point for part in craft.part for point in contact_points(part)]
    if not ends or error[0] == 0.0:
        return 0.0, (0.0, 0.0, 0.0)

    def reach(point: Array) -> float:
        """How far ahead of the wanted line (behind it, for a craft that is nose-heavy), measured across the shaft."""
        beside = (point - hub) - ((point - hub) @ axis) * axis
        return float(-math.copysign(1.0, error[0]) * beside[0])

    best = max(ends, key=reach)
    # the wanted place comes nearer in proportion as the craft grows heavier, so that (M off + m b)/(M + m) = wanted M/(M + m)
    return (
        (1e3 * mass * abs(float(error[0])) / reach(best), _builder(best))
        if reach(best) > 0.02
        else (0.0, (0.0, 0.0, 0.0))
    )


def _middle(part: AnyPart) -> Array:
    if isinstance(part, RodPart | TubePart):
        return np.asarray(0.5 * (body_place(part.from_mm) + body_place(part.to_mm)))
    if isinstance(part, MeshPart):
        return mesh_part.centre(part)
    return body_place(part.at_mm)


def _builder(place: Array) -> tuple[float, float, float]:
    """Body axes, m -> [forward, right, up], mm."""
    x, y, z = file_mm(place).tolist()
    return x, y, z
