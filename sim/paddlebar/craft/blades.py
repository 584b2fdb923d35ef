"""Blades and bar as masses, and as elements in the air."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from paddlebar.files.craft import Bar, Rotor, Tail
from paddlebar.units import to_si

Array = NDArray[np.float64]
_STRIPS = 200


@dataclass(frozen=True)
class Elements:
    """Strips of a blade: all arrays (n,). x [m] from the shaft, width dr [m], chord [m], pitch [rad]."""

    x: Array
    dr: Array
    chord: Array
    pitch: Array


_nodes = cache(np.polynomial.legendre.leggauss)  # an eigenvalue problem each, and a craft is built for every flight


def gauss(start: float, end: float, n: int) -> tuple[Array, Array]:
    """Gauss-Legendre places and weights on [start, end]: smooth loads need few elements [m], [m]."""
    node, weight = _nodes(n)
    half = 0.5 * (end - start)
    return start + half * (node + 1.0), half * weight


def rotor_planform(rotor: Rotor, x: Array) -> tuple[Array, Array]:
    """Chord [m] and built-in pitch [rad] at distances x [m] from the shaft, from stations or from root and tip values."""
    collective = to_si("collective_deg", rotor.collective_deg)
    if rotor.station:
        r = np.array([to_si("radius_mm", s.radius_mm) for s in rotor.station])
        chord = np.interp(x, r, [to_si("chord_mm", s.chord_mm) for s in rotor.station])
        pitch = np.interp(x, r, [to_si("pitch_deg", s.pitch_deg) for s in rotor.station])
        return chord, pitch + collective
    radius = to_si("radius_mm", rotor.radius_mm)
    share = x / radius
    root = to_si("root_mm", rotor.root_mm) / radius
    along = np.clip((share - root) / (1.0 - root), 0.0, 1.0)
    chord = to_si("chord_mm", rotor.chord_mm) * (1.0 - along) + to_si("tip_chord_mm", rotor.tip_chord_mm) * along
    return chord, collective + to_si("twist_deg", rotor.twist_deg) * (share - 0.75)


def rotor_elements(rotor: Rotor, n: int) -> Elements:
    """n elements of a main-rotor blade between root and tip."""
    x, dr = gauss(to_si("root_mm", rotor.root_mm), to_si("radius_mm", rotor.radius_mm), n)
    chord, pitch = rotor_planform(rotor, x)
    return Elements(x, dr, chord, pitch)


def tail_elements(tail: Tail, n: int) -> Elements:
    """n elements of a tail-rotor blade between root and tip."""
    radius = to_si("radius_mm", tail.radius_mm)
    x, dr = gauss(to_si("root_mm", tail.root_mm), radius, n)
    pitch = to_si("pitch_deg", tail.pitch_deg) + to_si("twist_deg", tail.twist_deg) * (x / radius - 0.75)
    return Elements(x, dr, np.full(n, to_si("chord_mm", tail.chord_mm)), pitch)


def _lump(masses: Array, places: Array, own: Array) -> tuple[float, Array, Array]:
    """Mass, centre and inertia about the centre of many small bodies, arrays (n,), (n, 3), (n, 3, 3)."""
    mass = float(masses.sum())
    centre = masses @ places / mass
    d = places - centre
    square = np.einsum("ni,ni->n", d, d)
    inertia = (
        np.einsum("n,n,ij->ij", masses, square, np.eye(3)) - np.einsum("n,ni,nj->ij", masses, d, d) + own.sum(axis=0)
    )
    return mass, centre, inertia


def blade_mass(rotor: Rotor, hinge_offset: float) -> tuple[float, Array, Array]:
    """Mass [kg], centre [m] and inertia about it [kg m^2] of one blade, of unequal ones the mean, in blade axes (out, forward, up) from the hinge.

    The blade is a stack of flat strips, mass in proportion to chord, each at its built-in pitch: that tilt is what
    makes the propeller moment (references 3.5 item 9). The mass axis lies where the file says, the strip's own spread is c/12^0.5.
    """
    root, radius = to_si("root_mm", rotor.root_mm), to_si("radius_mm", rotor.radius_mm)
    edge = np.linspace(root, radius, _STRIPS + 1)
    x = 0.5 * (edge[1:] + edge[:-1])
    chord, pitch = rotor_planform(rotor, x)
    mass = to_si("blade_mass_g", rotor.blade_mass_g) * chord / chord.sum()
    back = (rotor.feather_axis_percent - rotor.mass_axis_percent) / 100.0 * chord
    c, s = np.cos(pitch), np.sin(pitch)
    places = np.column_stack([x - hinge_offset, back * c, back * s])
    thick = to_si("thickness_mm", rotor.thickness_mm) ** 2 / 12.0
    wide = chord**2 / 12.0
    long = ((radius - root) / _STRIPS) ** 2 / 12.0
    own = np.zeros((_STRIPS, 3, 3))
    own[:, 0, 0] = wide + thick
    own[:, 1, 1] = s**2 * wide + c**2 * thick + long
    own[:, 2, 2] = c**2 * wide + s**2 * thick + long
    own[:, 1, 2] = own[:, 2, 1] = -c * s * (wide - thick)
    return _lump(mass, places, own * mass[:, None, None])


def blade_shares(rotor: Rotor) -> Array:
    """Mass of every blade over their mean [1]."""
    return np.array(rotor.masses_g()) / rotor.blade_mass_g


def blade_offsets(rotor: Rotor) -> Array:
    """By how much the pitch of every blade is over their mean [rad]: a blade is turned as a whole, at its root."""
    return np.array([to_si("collective_deg", each - rotor.collective_deg) for each in rotor.pitches_deg()])


def bar_mass(bar: Bar, tips: tuple[float, float], paddles: tuple[float, float]) -> tuple[float, Array, Array]:
    """Mass [kg], centre [m] and inertia about it [kg m^2] of the bar, in arm axes (out along arm 1, forward, up) from its hinge.

    tips, paddles : 1 for each arm that still has its own, 0 for one that has lost it
    """
    arm = to_si("arm_mm", bar.arm_mm)
    wire = to_si("wire_mass_g", bar.wire_mass_g)
    tip_masses = [to_si("tip_mass_g", each) for each in bar.tips_g()]
    paddle = to_si("paddle_mass_g", bar.paddle_mass_g)
    centre = to_si("paddle_centre_mm", bar.paddle_centre_mm)
    span, chord = to_si("paddle_span_mm", bar.paddle_span_mm), to_si("paddle_chord_mm", bar.paddle_chord_mm)
    incidence = to_si("paddle_incidence_deg", bar.paddle_incidence_deg)
    masses = [wire]
    places = [np.zeros(3)]
    own = [wire * (2.0 * arm) ** 2 / 12.0 * np.diag([0.0, 1.0, 1.0])]
    ball = 0.4 * (0.5 * to_si("tip_diameter_mm", bar.tip_diameter_mm)) ** 2 * np.eye(3)
    for k, (sign, tip) in enumerate(zip((1.0, -1.0), tip_masses, strict=True)):
        if tips[k] > 0.0 and tip > 0.0:
            masses.append(tip)
            places.append(np.array([sign * arm, 0.0, 0.0]))
            own.append(tip * ball)
        if paddles[k] > 0.0 and paddle > 0.0:
            c, s = math.cos(incidence), sign * math.sin(incidence)
            masses.append(paddle)
            places.append(np.array([sign * centre, 0.0, 0.0]))
            flat = np.zeros((3, 3))
            flat[0, 0] = chord**2
            flat[1, 1] = s * s * chord**2 + span**2
            flat[2, 2] = c * c * chord**2 + span**2
            flat[1, 2] = flat[2, 1] = -c * s * chord**2
            own.append(paddle / 12.0 * flat)
    return _lump(np.array(masses), np.array(places), np.array(own))


def helmbold(aspect: float) -> float:
    """Lift slope of a straight wing over 2 pi, AR / (2 + sqrt(4 + AR^2)) (Helmbold; references section 2.1 [C]) [1]."""
    return aspect / (2.0 + math.sqrt(4.0 + aspect * aspect))
