"""Where everything of a craft is that turns, and how it stands at any azimuth and angle; what stands still is in standing.py.

Checks, drawings, replay and studies ask here, so that hand, lead and lean of the shaft are turned into places once.
SI, body axes (forward, right, down) from the builder's datum. Azimuths [rad] are those of blade 1, from over the tail in the sense of
rotation, of either hand. Azimuths and angles may be arrays of any one shape (...); vectors are then (..., 3).

Source  : the vectors of physics/mechanism.py, for whole arrays.
Checked : tests/craft/test_shape.py, against the equations' own at random angles, either hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from paddlebar.craft.blades import blade_offsets, rotor_planform
from paddlebar.craft.places import body_place
from paddlebar.files.craft import Craft, Rotor, Shaft
from paddlebar.files.kinds import BARS, HEADS, feather_share
from paddlebar.units import to_si

Array = NDArray[np.float64]

HALF_TURN: Final = np.array([-1.0, -1.0, 1.0])  # what stands on arm 1 stands on arm 2 after half a turn of the shaft


def hand_of(shaft: Shaft) -> float:
    """+1 counter-clockwise seen from above, -1 clockwise."""
    return 1.0 if shaft.turns == "counter-clockwise" else -1.0


def blade_azimuth(azimuth: ArrayLike, blade: ArrayLike, blades: int) -> Array:
    """Azimuth of a blade, 0 for blade 1 [rad]."""
    return np.asarray(azimuth) + 2.0 * np.pi * np.asarray(blade) / blades


def arm_azimuth(azimuth: ArrayLike, lead: float) -> Array:
    """Azimuth of arm 1 of a bar that leads blade 1 by so much [rad]."""
    return np.asarray(azimuth) + lead


def over_ground(azimuth: Array, heading: Array, hand: float) -> Array:
    """What the rotor turns over the ground: what it turns against the body, less what the body turns the other way; nose to the right
    positive [all rad, or all of another unit, or their rates]."""
    return azimuth - hand * heading


def plane_lean(cosine: Any, sine: Any, hand: float) -> tuple[Any, Any]:
    """Lean, top forward and top to the right, of a plane that stands above the hub's by ``cosine`` over the tail and by ``sine`` at
    azimuth 90 degrees, which is the right side of a rotor that turns counter-clockwise (small angles; complex ones may be)."""
    return cosine, -hand * sine


@dataclass(frozen=True, eq=False)
class Hub:
    """place : of the hub;  axis, aft, right : unit vectors up the shaft and across it;  hand : see hand_of;  radius : of its outline"""

    place: Array
    axis: Array
    aft: Array
    right: Array
    hand: float
    radius: float

    def out(self, azimuth: ArrayLike) -> Array:
        """Unit vector out along a radius."""
        chi = self.hand * np.asarray(azimuth)
        return _times(np.cos(chi), self.aft) + _times(np.sin(chi), self.right)

    def ahead(self, azimuth: ArrayLike) -> Array:
        """Unit vector across that radius in the sense of rotation: d out / d azimuth."""
        chi = self.hand * np.asarray(azimuth)
        return self.hand * (_times(np.cos(chi), self.right) - _times(np.sin(chi), self.aft))

    def raised(self, azimuth: ArrayLike, angle: ArrayLike) -> Array:
        """Unit vector out along what stands so far above the hub's plane."""
        return _times(np.cos(angle), self.out(azimuth)) + _times(np.sin(angle), self.axis)

    def over(self, azimuth: ArrayLike, angle: ArrayLike) -> Array:
        """Unit vector upwards across that: d raised / d angle."""
        return _times(np.cos(angle), self.axis) - _times(np.sin(angle), self.out(azimuth))

    def raised_rate(self, azimuth: Array, speed: Array, angle: Array, rate: Array, body_rate: Array) -> Array:
        """Velocity in space of the end of ``raised`` [1/s]. speed : of the shaft;  rate : of the angle;  body_rate (..., 3) [rad/s]"""
        turning = _times(np.cos(angle) * speed, self.ahead(azimuth)) + _times(rate, self.over(azimuth, angle))
        return np.asarray(turning + np.cross(body_rate, self.raised(azimuth, angle)), dtype=np.float64)

    def out_and_up(self, places: Array, height: float = 0.0) -> tuple[Array, Array]:
        """Distance of places (..., 3) from the shaft, and height along it above a point of it so far above the hub."""
        away = places - self.place
        up = away @ self.axis
        out = np.sqrt(np.maximum(np.sum(away * away, axis=-1) - up * up, 0.0))
        return np.asarray(out), np.asarray(up - height)

    def azimuth_of(self, places: Array) -> Array:
        """Azimuth of places (..., 3), 0 to 2 pi [rad]."""
        away = places - self.place
        return np.asarray(np.mod(np.arctan2(self.hand * (away @ self.right), away @ self.aft), 2.0 * np.pi))

    def upright(self) -> Hub:
        """The same hub with its shaft upright, as the plan of the head shows it."""
        return replace(self, axis=np.array([0.0, 0.0, -1.0]), aft=np.array([-1.0, 0.0, 0.0]), right=np.array([0.0, 1.0, 0.0]))  # fmt: skip


def hub_of(shaft: Shaft) -> Hub:
    """The hub's frame."""
    forward, right = (math.tan(to_si(key, getattr(shaft, key))) for key in ("tilt_forward_deg", "tilt_right_deg"))
    axis = np.array([forward, right, -1.0])
    axis /= np.linalg.norm(axis)
    aft = np.array([-1.0, 0.0, 0.0])
    aft -= (aft @ axis) * axis
    aft /= np.linalg.norm(aft)
    radius = 0.5 * to_si("hub_diameter_mm", shaft.hub_diameter_mm)
    return Hub(body_place(shaft.hub_mm), axis, aft, np.cross(axis, aft), hand_of(shaft), radius)


@dataclass(frozen=True, eq=False)
class Blades:
    """count : of them;  rotor : their description;  root, radius, offset : start, tip and hinge from the shaft;  precone : [rad]
    travel : they flap so far either way [rad];  axis : feathering axis behind the leading edge, share of the chord
    shares : pitch of each per tilt of the bar [1];  apart : by how much each has more than the mean [rad];  coupling : tan(delta-3) [1]"""

    hub: Hub
    count: int
    rotor: Rotor
    root: float
    radius: float
    offset: float
    precone: float
    travel: float
    axis: float
    shares: tuple[float, ...]
    apart: tuple[float, ...]
    coupling: float

    def azimuth(self, i: int, azimuth: ArrayLike) -> Array:
        """Azimuth of blade i, 0 for the first."""
        return blade_azimuth(azimuth, i, self.count)

    def feathering(self, i: int, tilt: ArrayLike, flap: ArrayLike) -> Array:
        """Pitch that bar and flapping give blade i [rad], or its rate from rates; ``apart`` comes besides."""
        from paddlebar.physics.compiled import source_of  # noqa: PLC0415
        from paddlebar.physics.linkage import feathering  # noqa: PLC0415  a picture is drawn without the compiler

        plain = source_of(feathering)  # it takes whole arrays
        return np.asarray(plain(self.shares[i], tilt, self.coupling, flap))

    def hinge(self, i: int, azimuth: ArrayLike = 0.0) -> Array:
        """Place of the flapping hinge of blade i (of the hub, where it has none of its own)."""
        return self.hub.place + self.offset * self.hub.out(self.azimuth(i, azimuth))

    def axes(
        self, i: int, azimuth: ArrayLike = 0.0, flap: ArrayLike = 0.0, pitch: ArrayLike = 0.0
    ) -> tuple[Array, Array, Array]:
        """Unit vectors of blade i: out along its feathering axis, forward, up. flap : above the precone;  pitch : of feathering()"""
        psi, angle = self.azimuth(i, azimuth), self.precone + np.asarray(flap)
        ahead, over = self.hub.ahead(psi), self.hub.over(psi, angle)
        c, s = np.cos(pitch), np.sin(pitch)
        return self.hub.raised(psi, angle), _times(c, ahead) + _times(s, over), _times(c, over) - _times(s, ahead)

    def planform(self, x: Array) -> tuple[Array, Array]:
        """Chord, and built-in pitch [rad], at distances x from the shaft."""
        return rotor_planform(self.rotor, x)

    def line(
        self,
        i: int,
        x: Array,
        chordwise: float,
        azimuth: ArrayLike = 0.0,
        flap: ArrayLike = 0.0,
        pitch: ArrayLike = 0.0,
    ) -> Array:
        """Places (..., n, 3) along blade i at distances x (n,) from the shaft.

        chordwise : behind the leading edge, share of the chord: 0 that edge, 0.25 the quarter chord, ``axis`` the feathering axis, 1 the
            trailing edge
        """
        chord, built_in = self.planform(x)
        ahead = (self.axis - chordwise) * chord
        own = np.column_stack([x - self.offset, ahead * np.cos(built_in), ahead * np.sin(built_in)])
        return _placed(own, self.hinge(i, azimuth), self.axes(i, azimuth, flap, pitch))


def blades_of(craft: Craft) -> Blades:
    """The blades of the main rotor."""
    rotor, head = craft.rotor, craft.head
    kind = HEADS[head.kind]
    gain = craft.bar.gain if BARS[craft.bar.kind].present else 0.0
    return Blades(
        hub=hub_of(craft.shaft),
        count=rotor.blades,
        rotor=rotor,
        root=to_si("root_mm", rotor.root_mm),
        radius=to_si("radius_mm", rotor.radius_mm),
        offset=to_si("hinge_offset_mm", kind.hinge_offset(head.hinge_offset_mm)),
        precone=to_si("precone_deg", head.precone_deg),
        travel=to_si("stop_deg", kind.travel(head.stop_deg)),
        axis=to_si("feather_axis_percent", rotor.feather_axis_percent),
        shares=tuple(feather_share(gain, i, rotor.blades) for i in range(rotor.blades)),
        apart=tuple(blade_offsets(rotor).tolist()),
        coupling=math.tan(to_si("delta3_deg", head.delta3_deg)),
    )


@dataclass(frozen=True, eq=False)
class Arms:
    """The bar. lead : of arm 1 on blade 1 [rad];  height : of its hinge above the hub;  length : to the tip masses;  wire : thickness
    ball : radius of a tip mass, 0 for none;  span, chord, centre, incidence : of a paddle, span 0 for none
    travel : it tilts so far either way [rad]"""

    hub: Hub
    lead: float
    height: float
    length: float
    wire: float
    ball: float
    span: float
    chord: float
    centre: float
    incidence: float
    travel: float

    @property
    def hinge(self) -> Array:
        """Place of its hinge."""
        return self.hub.place + self.height * self.hub.axis

    @property
    def reach(self) -> float:
        """From the hinge to the middle of the tip mass or the end of the paddle, whichever is further."""
        return max(self.length, self.centre + 0.5 * self.span if self.span > 0.0 else 0.0)

    def azimuth(self, azimuth: ArrayLike) -> Array:
        """Azimuth of arm 1."""
        return arm_azimuth(azimuth, self.lead)

    def axes(self, azimuth: ArrayLike = 0.0, tilt: ArrayLike = 0.0) -> tuple[Array, Array, Array]:
        """Unit vectors of the bar: out along arm 1, forward, up. tilt : arm 1 up [rad]"""
        psi = self.azimuth(azimuth)
        return self.hub.raised(psi, tilt), self.hub.ahead(psi), self.hub.over(psi, tilt)

    def at(self, own: Array, azimuth: ArrayLike = 0.0, tilt: ArrayLike = 0.0) -> Array:
        """Places (..., n, 3) of points of the bar (n, 3), these from its hinge out along arm 1, forward, up."""
        return _placed(own, self.hinge, self.axes(azimuth, tilt))

    def tips(self, azimuth: ArrayLike = 0.0, tilt: ArrayLike = 0.0) -> Array:
        """Places (..., 2, 3) of both tip masses."""
        return self.at(np.array([[self.length, 0.0, 0.0], [-self.length, 0.0, 0.0]]), azimuth, tilt)

    def paddles(self, azimuth: ArrayLike = 0.0, tilt: ArrayLike = 0.0) -> Array:
        """Corners (..., 2, 4, 3) of both paddles: leading edge outwards, trailing edge inwards; each nose up in its own motion."""
        inner, outer = self.centre - 0.5 * self.span, self.centre + 0.5 * self.span
        y, z = 0.5 * self.chord * math.cos(self.incidence), 0.5 * self.chord * math.sin(self.incidence)
        one = np.array([[inner, y, z], [outer, y, z], [outer, -y, -z], [inner, -y, -z]])
        found = self.at(np.concatenate([one, one * HALF_TURN]), azimuth, tilt)
        return found.reshape(*found.shape[:-2], 2, 4, 3)


def arms_of(craft: Craft) -> Arms | None:
    """The bar, None where there is none."""
    bar = craft.bar
    if not BARS[bar.kind].present:
        return None
    return Arms(
        hub=hub_of(craft.shaft),
        lead=to_si("lead_deg", bar.lead_deg),
        height=to_si("height_mm", bar.height_mm),
        length=to_si("arm_mm", bar.arm_mm),
        wire=to_si("wire_diameter_mm", bar.wire_diameter_mm),
        ball=0.5 * to_si("tip_diameter_mm", bar.tip_diameter_mm) if bar.tip_mass_g > 0.0 else 0.0,
        span=to_si("paddle_span_mm", bar.paddle_span_mm),
        chord=to_si("paddle_chord_mm", bar.paddle_chord_mm),
        centre=to_si("paddle_centre_mm", bar.paddle_centre_mm),
        incidence=to_si("paddle_incidence_deg", bar.paddle_incidence_deg),
        travel=to_si("stop_deg", BARS[bar.kind].travel(bar.stop_deg)),
    )


def _times(amount: ArrayLike, vector: Array) -> Array:
    """Amounts (...) times a vector (3,) or as many vectors (..., 3)."""
    return np.asarray(np.asarray(amount)[..., None] * vector, dtype=np.float64)


def _placed(own: Array, origin: Array, axes: tuple[Array, Array, Array]) -> Array:
    """Places (..., n, 3) of points (n, 3) along three axes (..., 3) from an origin (..., 3)."""
    along = sum(own[:, k, None] * axis[..., None, :] for k, axis in enumerate(axes))
    return np.asarray(origin[..., None, :] + along, dtype=np.float64)
