"""A skein wound and let out on a torque meter: energy in and out, loss, breaking constant, and the craft's own constants from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from paddlebar.craft.knobs import prior
from paddlebar.craft.rubber import allowed_turns, half_loss, set_after_backing_off
from paddlebar.errors import BadInput
from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.files.skein_record import Rows, SkeinRecord
from paddlebar.physics.motor import middle_energy, middle_torque
from paddlebar.physics.skein import hysteresis_factor
from paddlebar.physics.skein_limits import breaking_turns

Array = NDArray[np.float64]

# From where to where the shape of the curve is looked for. Where the record does not tell, it is taken for what a file has where it says
# nothing, with priors twice as wide as those of the register (craft/knobs.py).
SHAPE = {"knee_percent": (0.5, 40.0), "spike": (1.0, 10.0), "settle_percent": (0.2, 40.0), "loss_percent": (0.0, 90.0)}
WEAK = 2.0  # a torque meter tells more than belief; own choice
READING_SHARE = 0.03  # of the largest torque: what a pointer over a scale is read to, common practice, no source


@dataclass(frozen=True, eq=False)
class SkeinTest:
    """What a bench test of rubber comes to.

    record              : as read
    mass_g, section_mm2, length_mm : of what was wound
    energy_in_j, energy_out_j      : areas under winding and unwinding rows [J]; nan without a calibration
    lost_percent        : of what was put in, of this loop
    energy_kJ_kg        : got back for a kilogram, from these turns
    turns_share         : wound, of the breaking turns
    breaking_constant   : N sqrt(S)/L;  broke : it was really broken, else the craft's own (or what it stood, if that is more)
    fitted              : knee_percent, spike, settle_percent, loss_percent, and energy_kJ_kg from breaking turns, as the craft's keys
    misfit_percent      : root mean square of torque minus fitted law, of the largest torque
    curve               : (turns, torque [mN m], or share of the largest) settled unwinding of the CRAFT's skein, rising turns
    model               : (n, 3) turns, winding and unwinding torque of the fitted law, in the record's unit
    change              : what the craft takes over, keys of [skein]; `measured` not among them
    """

    record: SkeinRecord
    mass_g: float
    section_mm2: float
    length_mm: float
    energy_in_j: float
    energy_out_j: float
    lost_percent: float
    energy_kJ_kg: float
    turns_share: float
    breaking_constant: float
    broke: bool
    fitted: dict[str, float]
    misfit_percent: float
    curve: Rows
    model: Array
    change: dict[str, float]

    def to_json(self) -> dict[str, Any]:
        """Plain values."""
        keep = ("mass_g", "section_mm2", "length_mm", "energy_in_j", "energy_out_j", "lost_percent", "energy_kJ_kg")
        more = ("turns_share", "breaking_constant", "broke", "fitted", "misfit_percent", "change")
        return {name: getattr(self, name) for name in (*keep, *more)} | {
            "relative": self.record.relative,
            "curve": [list(row) for row in self.curve],
        }


def skein_test(skein: Skein, record: SkeinRecord) -> SkeinTest:
    """Constants of a craft's skein from a bench record.

    skein   : the craft's own; its mass, length and density are those of the sample unless the record says otherwise
    record  : from files.skein_record
    Returns : SkeinTest
    Raises  : BadInput if more comes out than was put in
    Source  : energy = 2 pi x area under torque against turns; K = N sqrt(S)/L and torque ~ S^1.5, turns ~ L/sqrt(S) between skeins
        of the same rubber, references 6.1 and 6.2
    Checked : tests/checks/test_skein_test.py
    """
    mass = record.mass_g if record.mass_g is not None else skein_mass_g(skein)
    length = record.length_mm if record.length_mm is not None else skein.length_mm
    section = mass / (skein.density_kg_m3 * length) * 1e6  # g / (kg/m3 mm) = 1e-3 kg/(kg/m3 1e-3 m) = m2, in mm2
    winding, unwinding = _whole(record.winding), _whole(record.unwinding)
    put_in, got_back = _energy(winding), _energy(unwinding)
    if got_back > put_in:
        rule = f"gives back {got_back / put_in:.2f} of what winding took; are the branches named the right way round?"
        raise BadInput(f"{record.file}: unwinding: {rule}")
    top = float(max(winding[-1, 0], unwinding[-1, 0]))
    one = breaking_turns(1e-3 * length, 1e-6 * section, 1.0)  # turns for each unit of the constant
    constant = record.broke / one if record.broke is not None else max(skein.breaking_constant, top / one)
    breaking = constant * one
    plateau, shape, model, misfit = _fit(winding, unwinding, top, breaking)
    known = not record.relative
    per_kg = got_back / mass if known else math.nan  # J/g = kJ/kg
    fitted = dict(shape)
    if known:
        out = 1.0 - half_loss(shape["loss_percent"] / 100.0)
        whole = middle_energy(breaking, breaking, 1e-3 * plateau, shape["knee_percent"] / 100.0, shape["spike"])
        fitted["energy_kJ_kg"] = float(out * whole / mass)
    fitted["breaking_constant"] = constant
    change = {key: float(f"{value:.4g}") for key, value in fitted.items()}
    if record.temperature_C is not None:
        change["reference_C"] = record.temperature_C
    own_section = 1e6 * skein_mass_g(skein) / (skein.density_kg_m3 * skein.length_mm)
    more_torque = (own_section / section) ** 1.5
    more_turns = allowed_turns(skein) / (skein.breaking_constant * one)
    nan = math.nan
    return SkeinTest(
        record=record,
        mass_g=mass,
        section_mm2=section,
        length_mm=length,
        energy_in_j=put_in if known else nan,
        energy_out_j=got_back if known else nan,
        lost_percent=100.0 * (1.0 - got_back / put_in),
        energy_kJ_kg=per_kg,
        turns_share=top / breaking,
        breaking_constant=constant,
        broke=record.broke is not None,
        fitted=fitted,
        misfit_percent=100.0 * misfit,
        curve=_settled(
            unwinding, top, breaking, shape, more_turns, more_torque if known else 1.0 / unwinding[:, 1].max()
        ),
        model=model,
        change=change,
    )


def _whole(rows: Rows) -> Array:
    """Rows with none at no turns before them: a skein without turns has no torque."""
    found = np.array(rows, dtype=np.float64)
    return found if found[0, 0] == 0.0 else np.vstack([[0.0, 0.0], found])


def _energy(rows: Array) -> float:
    """2 pi times the area, by straight lines between rows, torque in mN m [J]."""
    return float(2.0 * math.pi * 1e-3 * np.trapezoid(rows[:, 1], rows[:, 0]))


def _law(turns: Array, wound: Array, breaking: float, shape: dict[str, float], top: float) -> Array:
    """Torque over the plateau's: the craft's own law, winding (wound) from rest, unwinding from the top."""
    h = half_loss(shape["loss_percent"] / 100.0)
    settle = shape["settle_percent"] / 100.0 * breaking
    values = []
    for n, up in zip(turns, wound, strict=True):
        z = 1.0 if up else set_after_backing_off(top - n, settle)
        middle = middle_torque(n, breaking, 1.0, shape["knee_percent"] / 100.0, shape["spike"])
        values.append(middle * hysteresis_factor(z, h))
    return np.array(values)


def _fit(winding: Array, unwinding: Array, top: float, breaking: float) -> tuple[float, dict[str, float], Array, float]:
    """Plateau (record's unit), shape, the law drawn, and root mean square of the misfit over the largest torque."""
    rows = np.vstack([winding, unwinding])
    wound = np.repeat([True, False], [len(winding), len(unwinding)])
    largest = float(rows[:, 1].max())
    lows, highs = (np.array(each) for each in zip(*SHAPE.values(), strict=True))
    means = np.array([Skein.model_fields[name].default for name in SHAPE])
    sds = WEAK * np.array([prior(f"craft.skein.{name}") for name in SHAPE])

    def shape(x: Array) -> dict[str, float]:
        return dict(zip(SHAPE, x[1:].tolist(), strict=True))

    def misses(x: Array) -> Array:
        torque = x[0] * largest * _law(rows[:, 0], wound, breaking, shape(x), top)
        return np.concatenate([(torque - rows[:, 1]) / (READING_SHARE * largest), (x[1:] - means) / sds])

    start = np.concatenate([[0.5], means])
    bounds = (np.concatenate([[1e-3], lows]), np.concatenate([[20.0], highs]))
    x = least_squares(misses, start, bounds=bounds, x_scale=np.concatenate([[0.3], sds])).x
    misfit = READING_SHARE * math.sqrt(float(np.mean(misses(x)[: len(rows)] ** 2)))
    fine = np.linspace(0.0, top, 201)
    up, down = (x[0] * largest * _law(fine, np.full(fine.size, w), breaking, shape(x), top) for w in (True, False))
    return float(x[0] * largest), shape(x), np.column_stack([fine, up, down]), misfit


def _settled(rows: Array, top: float, breaking: float, shape: dict[str, float], turns: float, torque: float) -> Rows:
    """Unwinding rows as they would be once the torque has settled, for a skein with so many times the turns and torque.

    The craft's `measured` curve is the settled one (set -1); what a freshly wound skein gives above it while it settles is added by the
    law of the set, so it is taken out here: Q (1 - h)/(1 + h z).
    """
    h = half_loss(shape["loss_percent"] / 100.0)
    settle = shape["settle_percent"] / 100.0 * breaking
    found = []
    for n, q in rows:
        settled = hysteresis_factor(-1.0, h) / hysteresis_factor(set_after_backing_off(top - n, settle), h)
        found.append((float(f"{n * turns:.6g}"), float(f"{q * settled * torque:.6g}")))
    return tuple(found)
