"""The one table of units: the end of a key says the unit, ``to_si`` turns its value into SI.

Files stay in the units a builder measures in (g, mm, deg); nothing above ``craft`` converts a second time. Turns of a
skein stay turns: they are counted, and the break is given in turns too.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final, NamedTuple, overload

GRAVITY: Final = 9.80665  # m/s^2, standard acceleration of free fall (ISO 80000-3), from memory
GRAM_FORCE: Final = 1e-3 * GRAVITY  # N; a kitchen scale reads grams


class Unit(NamedTuple):
    """``si = value * factor + offset``, and the SI unit it ends in."""

    factor: float
    offset: float
    si: str


SUFFIXES: dict[str, Unit] = {
    "_g": Unit(1e-3, 0.0, "kg"),
    "_g_m": Unit(1e-3, 0.0, "kg/m"),
    "_mm": Unit(1e-3, 0.0, "m"),
    "_m": Unit(1.0, 0.0, "m"),
    "_mm2": Unit(1e-6, 0.0, "m2"),
    "_s": Unit(1.0, 0.0, "s"),
    "_m_s": Unit(1.0, 0.0, "m/s"),
    "_deg": Unit(math.pi / 180.0, 0.0, "rad"),
    "_deg_s": Unit(math.pi / 180.0, 0.0, "rad/s"),
    "_rpm": Unit(math.pi / 30.0, 0.0, "rad/s"),
    "_mN": Unit(1e-3, 0.0, "N"),
    "_mN_m": Unit(1e-3, 0.0, "N m"),
    "_mN_m_s": Unit(1e-3, 0.0, "N m s/rad"),
    "_mN_m_rad": Unit(1e-3, 0.0, "N m/rad"),
    "_percent": Unit(1e-2, 0.0, "1"),
    "_percent_per_K": Unit(1e-2, 0.0, "1/K"),
    "_kJ_kg": Unit(1e3, 0.0, "J/kg"),
    "_kg_m3": Unit(1.0, 0.0, "kg/m3"),
    "_C": Unit(1.0, 273.15, "K"),
    "_hPa": Unit(1e2, 0.0, "Pa"),
}

# Units that people write by mistake; only used to find the stem of an unknown key ("tip_mass_kg" -> "tip_mass").
# fmt: off
FOREIGN = (
    "_kg", "_mg", "_oz", "_cm", "_in", "_inch", "_ft", "_um", "_rad", "_degrees", "_degree", "_grad", "_rad_s",
    "_rps", "_hz", "_ms", "_min", "_N", "_N_m", "_Nm", "_mNm", "_gcm", "_km_h", "_kmh", "_ft_s", "_K", "_F", "_Pa",
    "_bar", "_mbar", "_J_kg", "_kJ", "_J", "_cm2", "_m2", "_g_cm3", "_turns", "_fraction", "_pct", "_mps",
    "_N_m_rad", "_N_m_s",
)
# fmt: on

_LONGEST_FIRST = sorted(SUFFIXES, key=len, reverse=True)
_ALL_LONGEST_FIRST = sorted((*SUFFIXES, *FOREIGN), key=len, reverse=True)


@lru_cache(4096)  # keys are those of the files; a craft asks for some hundreds whenever it is built
def suffix_of(key: str) -> str | None:
    """The row of ``SUFFIXES`` that fits the end of ``key`` (the longest one wins), or None for a plain number."""
    for suffix in _LONGEST_FIRST:
        if ("_" + key).endswith(suffix):
            return suffix
    return None


def stem_of(key: str) -> str:
    """``key`` without its unit, be the unit one of ours or a foreign one."""
    for suffix in _ALL_LONGEST_FIRST:
        if key.lower().endswith(suffix.lower()) and len(key) > len(suffix):
            return key[: -len(suffix)]
    return key


@overload
def to_si(key: str, value: float) -> float: ...
@overload
def to_si(key: str, value: tuple[float, ...]) -> tuple[float, ...]: ...
def to_si(key: str, value: float | tuple[float, ...]) -> float | tuple[float, ...]:
    """The value of ``key`` in SI units.

    key    : key of a file, unit at its end ("radius_mm"); a key without a unit ("gain") is a plain number
    value  : number or tuple of numbers, in the unit of the key
    Returns: the same shape, in the SI unit named in ``SUFFIXES`` (angles in rad, shares as fractions, K)
    """
    suffix = suffix_of(key)
    if suffix is None:
        return value
    unit = SUFFIXES[suffix]
    if isinstance(value, tuple):
        return tuple(each * unit.factor + unit.offset for each in value)
    return value * unit.factor + unit.offset


_AS_READ = {
    "_g_m": "g/m", "_C": "deg C", "_mm2": "mm2", "_m_s": "m/s", "_deg_s": "deg/s", "_mN_m": "mN m", "_mN_m_s": "mN m s", "_mN_m_rad": "mN m/rad", "_percent": "%",
    "_percent_per_K": "%/K", "_kJ_kg": "kJ/kg", "_kg_m3": "kg/m3",
}  # fmt: skip


def unit_of(key: str) -> str:
    """The unit of a key as one reads it: ``lead_deg`` -> "deg"; "turns" where turns are counted, "" for a plain number."""
    suffix = suffix_of(key)
    if suffix is None:
        return "turns" if key.endswith("turns") else ""
    return _AS_READ.get(suffix, suffix[1:])


def parted(key: str) -> tuple[str, str]:
    """A dotted key without its unit, and the unit as one reads it: ``bar.lead_deg`` -> ("bar.lead", "deg"); "1" for a plain number.

    An entry of a list has the unit of the list: ``part.stick.at_mm.1`` -> ("part.stick.at.1", "mm").
    """
    head, dot, last = key.rpartition(".")
    if dot and last.isdigit():
        stem, unit = parted(head)
        return f"{stem}.{last}", unit
    return key if suffix_of(key) is None else stem_of(key), unit_of(key) or "1"


_UDUNITS: Final = {
    "_g_m": "g m-1", "_m_s": "m s-1", "_deg": "degree", "_deg_s": "degree s-1", "_rpm": "6 degree s-1", "_mN_m": "mN m", "_mN_m_s": "mN m s",
    "_mN_m_rad": "mN m rad-1", "_percent_per_K": "percent K-1", "_kJ_kg": "kJ kg-1", "_kg_m3": "kg m-3", "_C": "degree_C",
}  # fmt: skip
_UDUNITS_OF_FIGURES: Final = {"_per_s": "s-1", "_j": "J", "_mw": "mW", "_mn_m": "mN m", "_mn": "mN"}


def udunits(key: str) -> str:
    """The unit of a key or figure in the words of UDUNITS, as the CF conventions ask for: ``rotor_rpm`` -> "6 degree s-1"; "1" for a plain number.

    An entry of a list, ``torque_mN_m[3]`` or ``at_mm.1``, has the unit of the list.
    """
    stem = key.partition("[")[0].rstrip(".0123456789") if key[-1:] in "]0123456789" and suffix_of(key) is None else key
    for suffix, unit in _UDUNITS_OF_FIGURES.items():
        if stem.endswith(suffix):
            return unit
    row = suffix_of(stem)
    return "1" if row is None else _UDUNITS.get(row, row[1:])
