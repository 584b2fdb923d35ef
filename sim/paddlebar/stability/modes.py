"""Names, figures and shapes of the modes of a steady motion."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import Any

import numpy as np

from paddlebar.craft.shape import plane_lean
from paddlebar.stability.floquet import Complex, Floquet, plane_tilt

# Which rows of the layout speak for what; a mode takes the name of the kind that takes the largest part in it
_KINDS = {
    "tilt": ("roll", "pitch", "rate_body"),
    "drift": ("velocity_body",),
    "bar": ("bar_angle", "bar_rate"),
    "blades": ("flap", "flap_rate"),
    "inflow": ("inflow",),
    "tail": ("tail_inflow", "tail_speed"),
    "rotor speed": ("rotor_speed",),
}


@dataclass(frozen=True, eq=False)
class Mode:
    """One way in which a disturbance grows or decays.

    name             : by what takes the largest part: bar, teeter or flapping, nutation (body tilt and its rate), slow oscillation
        (body tilt with speed over the ground), spin, heave, inflow, tail, rotor speed; a second of a name gets a number
    growth_per_s     : of the amplitude, exp(growth t); negative: decays
    frequency_hz     : as seen from the body, 0 for what does not swing
    time_to_double_s : None if it decays;  time_to_half_s : None if it grows
    error_per_s      : estimated error of growth and of 2 pi frequency, nan if not measured
    shares           : participation of each kind, sums to one
    body, bar, disc  : (2,) complex lean forward and to the right of the body, of the bar's plane and of the plane of the blades, all
        against the vertical, seen from the body; scaled so that the largest is 1; real part at one moment, a quarter period later
        minus the imaginary part. A bar that keeps its plane has `bar` near zero.
    """

    name: str
    growth_per_s: float
    frequency_hz: float
    time_to_double_s: float | None
    time_to_half_s: float | None
    error_per_s: float
    shares: dict[str, float]
    body: Complex
    bar: Complex
    disc: Complex

    def to_json(self) -> dict[str, Any]:
        """Plain numbers; phasors as [size, degrees] for forward and right."""

        def polar(z: Complex) -> list[list[float]]:
            return [[float(abs(v)), math.degrees(float(np.angle(v)))] for v in z]

        return {
            "name": self.name,
            "growth_per_s": self.growth_per_s,
            "frequency_hz": self.frequency_hz,
            "time_to_double_s": self.time_to_double_s,
            "time_to_half_s": self.time_to_half_s,
            "error_per_s": self.error_per_s,
            "shares": self.shares,
            "body": polar(self.body),
            "bar": polar(self.bar),
            "disc": polar(self.disc),
        }


def modes(found: Floquet) -> tuple[Mode, ...]:
    """All modes, fastest growing first."""
    out = []
    seen: Counter[str] = Counter()
    for k, s in enumerate(found.exponents):
        shares = _shares(found, k)
        name = _name(found, shares, float(abs(s.imag)))
        seen[name] += 1
        body, bar, disc = _leans(found, k)
        rate = float(s.real)
        out.append(
            Mode(
                name=name if seen[name] == 1 else f"{name} {seen[name]}",
                growth_per_s=rate,
                frequency_hz=float(abs(s.imag)) / (2.0 * math.pi),
                time_to_double_s=math.log(2.0) / rate if rate > 0.0 else None,
                time_to_half_s=-math.log(2.0) / rate if rate < 0.0 else None,
                error_per_s=float(found.error[k]),
                shares=shares,
                body=body,
                bar=bar,
                disc=disc,
            )
        )
    return tuple(out)


def _shares(found: Floquet, k: int) -> dict[str, float]:
    total = dict.fromkeys(
        ("tilt", "tilt rate", "drift", "heave", "spin", "bar", "blades", "inflow", "tail", "rotor speed"), 0.0
    )
    for c, share in zip(found.map.coordinates, found.shares[k], strict=True):
        kind = next(name for name, rows in _KINDS.items() if c.row in rows)
        if c.row == "rate_body":
            kind = "spin" if c.part == 2 else "tilt rate"
        elif kind == "drift" and c.part == 2:
            kind = "heave"
        total[kind] += float(share)
    return total


def _name(found: Floquet, shares: dict[str, float], frequency: float) -> str:
    """Body tilt, its rate and the drift are one family: with much drift it is the slow oscillation, else the nutation."""
    family = {name: share for name, share in shares.items() if name not in ("tilt", "tilt rate", "drift")}
    family["body"] = shares["tilt"] + shares["tilt rate"] + shares["drift"]
    name = max(family, key=lambda each: family[each])
    if name == "body":
        if shares["drift"] >= shares["tilt rate"]:
            return "slow oscillation" if frequency > 0.0 else "slow drift"
        return "nutation"
    if name == "blades":
        return "teeter" if found.map.nf == 1 else "flapping"
    return name


def _leans(found: Floquet, k: int) -> tuple[Complex, Complex, Complex]:
    """Lean forward and right of body, bar and disc, the largest one real and 1."""
    map_ = found.map
    shape = found.shapes[k, :-1]
    hand = float(map_.numbers.params[0]["hand"])
    body = np.zeros(2, dtype=np.complex128)
    roll, pitch = map_.find("roll"), map_.find("pitch")
    if roll >= 0:
        body = np.array([-shape[:, pitch].mean() * map_.scale[pitch], shape[:, roll].mean() * map_.scale[roll]])
    planes = []
    for cosine, sine in plane_tilt(map_, shape):
        planes.append(body + np.array(plane_lean(cosine, sine, hand)))
    bar, disc = planes
    all_ = np.concatenate([body, bar, disc])
    largest = all_[np.argmax(np.abs(all_))]
    if abs(largest) > 0.0:
        body, bar, disc = body / largest, bar / largest, disc / largest
    return body, bar, disc
