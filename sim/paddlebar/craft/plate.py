"""A thin plate at every angle: the relations that fill what no table of a section says."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def laminar_plate_drag(reynolds: ArrayLike) -> Array:
    """Friction of both sides of a flat plate, 2 * 1.328/sqrt(Re) [1].

    reynolds : Reynolds number on the chord [1]
    Source   : Blasius 1908, references.md 2.1 [C].   Checked: tests/reference/test_section_data.py
    """
    return np.asarray(2.656 / np.sqrt(np.asarray(reynolds, dtype=float)))


def plate(alpha: ArrayLike, reynolds: float, camber: float = 0.0) -> Array:
    """Coefficients of a thin circular-arc plate at every angle, (..., 3): cl, cd, cm about the quarter chord.

    alpha    : angle of the chord line to the flow in [-pi, pi] [rad]
    reynolds : on the chord [1]
    camber   : rise of the arc over the chord, 0 for a flat plate [1]

    Two flows, shared by Kirchhoff's separation point in the simple form F = 1/(1 + (alpha/alpha_s)^4):
      attached   cl = cos a (0.75 * 4 pi f cos a + eta 2 pi sin a): thin-aerofoil theory, circular arc. Shares from the
                 bounds of references.md 2.1 (slope 70-100 %: eta = 0.9 flat, 0.8 at 5 % camber; lift at 0 deg 60-90 %)
                 cd = 0.85 eta 2 pi sin^2 a: suction at the leading edge lost but for 15 %
                 cm = -0.75 pi f cos^2 a; the rest acts at the quarter chord, drifting to mid-chord as sin^2 a
      separated  cn = s C/(0.56 + 0.44 |s|), s = sin a + f cos^2 a, C = 2 - 0.7 sin^2 a; cl = cn cos a, cd = cn sin a:
                 plate normal force (S. F. Hoerner, Fluid-Dynamic Drag, 1965 [M]), 2.0 in plane flow, 1.3 broadside,
                 the figure of a 10:1 plate, since blades and paddles have ends; moment by Rayleigh's centre of
                 pressure, x/c = 1/2 - 3/4 cos a/(4 + pi |sin a|) (Phil. Mag. 1876 [M])
      friction   (1.4 + 6 f) times laminar (inside 1.0 to 1.8 of references.md 2.1), turbulent (Prandtl's 1/5 power)
                 from Re 60k to 300k; alpha_s = 8 deg flat, 9 deg cambered (7 deg on the hollow side), + 0.5 deg an
                 e-fold of Re above 2e4, between -1 and +1 deg. The angles, shares and 6 f: our choice, no source.
    An arc is the same seen from behind, so the reversed flow is the mirror image: cl(pi - a) = -cl(a), cd the same.

    Holds for : thin sharp plates, Re 2e3 to 5e5, steady flow; a few tenths in cl near the stall are not known better
    Checked   : bounds of references.md 2.0 and 2.1, tests/reference/test_section_data.py
    """
    alpha = np.asarray(alpha, dtype=float)
    behind = np.abs(alpha) > 0.5 * math.pi
    a = np.where(behind, np.copysign(math.pi, alpha) - alpha, alpha)
    sin, cos = np.sin(a), np.cos(a)

    slope = 2.0 * math.pi * (0.9 - min(2.0 * camber, 0.2))
    growth = math.radians(float(np.clip(0.5 * math.log(reynolds / 2e4), -1.0, 1.0)))
    upper = math.radians(8.0 + min(20.0 * camber, 2.0)) + growth
    lower = math.radians(8.0 - min(20.0 * camber, 2.0)) + growth
    share = 1.0 / (1.0 + (a / np.where(a > 0.0, upper, lower)) ** 4)

    laminar = float(laminar_plate_drag(reynolds))
    w = float(np.clip(math.log(reynolds / 6e4) / math.log(5.0), 0.0, 1.0))
    w *= w * (3.0 - 2.0 * w)
    friction = (1.4 + 6.0 * min(camber, 0.06)) * ((1.0 - w) * laminar + w * 2.0 * 0.074 / reynolds**0.2)

    s = sin + camber * cos**2
    cn = s * (2.0 - 0.7 * sin**2) / (0.56 + 0.44 * np.abs(s))
    centre = centre_of_pressure(a)

    lift = cos * (3.0 * math.pi * camber * cos + slope * sin)
    drag = 0.85 * slope * sin**2
    cl = share * lift + (1.0 - share) * cn * cos
    cd = friction * cos**2 + share * drag + (1.0 - share) * cn * sin
    moment = -0.75 * math.pi * camber * cos**2 - (lift * cos + drag * sin) * 0.25 * sin**2
    cm = share * moment - (1.0 - share) * cn * (centre - 0.25)

    mirrored = -cm - 0.5 * (cl * cos + cd * sin)
    return np.stack([np.where(behind, -cl, cl), cd, np.where(behind, mirrored, cm)], axis=-1)


def centre_of_pressure(alpha: Array) -> Array:
    """Rayleigh's centre of pressure of a plate, share of the chord from the leading edge; any angle [rad]."""
    return np.asarray(0.5 - 0.75 * np.cos(alpha) / (4.0 + math.pi * np.abs(np.sin(alpha))))
