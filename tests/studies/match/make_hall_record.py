"""Makes scenarios/hall-record.csv and hall-skein-bench.csv: flights and bench readings of a craft that is not quite as believed, with noise.

PYTHONPATH=sim python tests/studies/match/make_hall_record.py
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np

from paddlebar.api import load_scenario
from paddlebar.craft.motors import motor_of
from paddlebar.craft.rubber import set_after_backing_off
from paddlebar.files.flight_record import FLIGHT, SKEIN, STAND, Reading, Row, standard_error
from paddlebar.studies.match.predictions import predict, row_scenario

SCENARIOS = Path(__file__).parents[3] / "scenarios"
TRUTH = {
    "craft.skein.energy_kJ_kg": 6.8,
    "craft.rotor.collective_deg": 9.6,
    "craft.rotor.drag_factor": 1.12,
    "craft.airframe_drag_factor": 1.15,
    "craft.bar.friction_mN_m": 0.004,
}
BENCH = {"energy_kJ_kg": 6.8, "loss_percent": 26.0, "spike": 2.2, "knee_percent": 6.5, "breaking_constant": 10.9}
SEED = 11
FLOWN = ("duration_s", "peak_height_m", "turns_left", "rotor_rpm")


def readings(*names: str) -> tuple[Reading, ...]:
    return tuple(Reading(name, 0.0, 1.0) for name in names)


def flight(name: str, turns: float, back: float, at: float, remarks: str = "", **more: object) -> Row:
    return Row(
        0, name, FLIGHT, {"skein.turns": turns, "skein.backed_off": back}, dict(more), readings(*FLOWN), rpm_at_s=at, remarks=remarks
    )  # fmt: skip


ROWS = (
    flight("Monday 1", 260.0, 20.0, 3.0, "landed on its legs"),
    flight("Monday 2", 350.0, 30.0, 5.0, "strobe from the balcony"),
    flight("Tuesday 1", 400.0, 30.0, 5.0),
    Row(0, "kitchen scale", STAND, {}, {}, readings("thrust_g"), at_rpm=350.0, remarks="motor drives the shaft"),
    Row(0, "kitchen scale", STAND, {}, {}, readings("thrust_g", "torque_mN_m"), at_rpm=430.0),
    Row(0, "torque meter", SKEIN, {}, {}, readings("torque_mN_m"), turns=250.0, backed_off=150.0),
)


def noisy(rows: tuple[Row, ...], truth: dict[str, float], seed: int) -> list[list[Reading]]:
    """What would be read: the simulator's figures with normal errors of the size that the record's reader reckons with."""
    scenario = load_scenario(SCENARIOS / "hall-record.toml")
    text, rng = scenario.effective_toml(), np.random.default_rng(seed)
    found = []
    for row in rows:
        exact = predict(row_scenario(text, scenario, row, truth), row)
        told = [(r.quantity, v, standard_error(r.quantity, v)) for r, v in zip(row.readings, exact, strict=False)]
        found.append([Reading(name, v + rng.normal() * sd, sd) for name, v, sd in told])
    return found


def record_text() -> str:
    columns = [
        "kind",
        "name",
        "turns",
        "backed_off",
        "at_rpm",
        *FLOWN[:3],
        "rotor_rpm",
        "rpm_at_s",
        "thrust_g",
        "torque_mN_m",
        "remarks",
    ]
    out = io.StringIO()
    out.write(
        "# INVENTED: made by the simulator with noise (tests/studies/match/make_hall_record.py), no such craft was flown.\n"
    )
    writer = csv.DictWriter(out, columns, lineterminator="\n")
    writer.writeheader()
    digits = {"duration_s": 1, "peak_height_m": 2, "turns_left": 0, "rotor_rpm": 0, "thrust_g": 2, "torque_mN_m": 2}
    for row, found in zip(ROWS, noisy(ROWS, TRUTH, SEED), strict=True):
        cells = {"kind": row.kind, "name": row.name, "remarks": row.remarks}
        cells |= {r.quantity: f"{r.value:.{digits[r.quantity]}f}" for r in found}
        if row.kind == FLIGHT:
            cells |= {
                "turns": f"{row.changes['skein.turns']:g}",
                "backed_off": f"{row.changes['skein.backed_off']:g}",
                "rpm_at_s": f"{row.rpm_at_s:g}",
            }
        elif row.kind == SKEIN:
            cells |= {"turns": f"{row.turns:g}", "backed_off": f"{row.backed_off:g}"}
        else:
            cells["at_rpm"] = f"{row.at_rpm:g}"
        writer.writerow(cells)
    return out.getvalue()


def bench_text() -> str:
    """A short sample of the same rubber, wound until it breaks at the end, on a meter with a paper scale."""
    skein = load_scenario(SCENARIOS / "hall-record.toml").craft.skein
    sample = skein.model_copy(
        update={**BENCH, "strands": None, "width_mm": None, "thickness_mm": None, "mass_g": 1.10, "length_mm": 100.0}
    )
    motor, rng = motor_of(sample, 293.15), np.random.default_rng([SEED, 2])
    settle = float(motor.record["settle"][0])
    top, unit = 250.0, 20e-3 * 9.80665 * 30.0 / 47.0  # 20 g on an arm of 30 mm move the pointer by 47
    out = io.StringIO()
    out.write(
        "# INVENTED: made by the simulator with noise (tests/studies/match/make_hall_record.py), no such rubber was wound.\n"
    )
    writer = csv.DictWriter(
        out, ["branch", "turns", "reading", "weight_g", "arm_mm", "mass_g", "length_mm", "temperature_C", "remarks"], lineterminator="\n"
    )  # fmt: skip
    writer.writeheader()
    writer.writerow({"branch": "calibration", "reading": "47", "weight_g": "20", "arm_mm": "30"})
    writer.writerow(
        {
            "branch": "sample",
            "mass_g": "1.10",
            "length_mm": "100",
            "temperature_C": "20",
            "remarks": "second winding of the day",
        }
    )
    up = np.concatenate([[5.0, 15.0], np.arange(30.0, top + 1.0, 20.0)])
    for branch, turns in (("winding", up), ("unwinding", up[::-1])):
        for n in turns:
            z = 1.0 if branch == "winding" else set_after_backing_off(top - n, settle)
            read = 1e3 * motor.torque(n, z) / unit * (1.0 + 0.015 * rng.normal()) + 0.15 * rng.normal()
            writer.writerow({"branch": branch, "turns": f"{n:g}", "reading": f"{max(read, 0.0):.1f}"})
    writer.writerow({"branch": "broke", "turns": f"{motor.breaking:.0f}", "remarks": "on the third winding"})
    return out.getvalue()


if __name__ == "__main__":
    (SCENARIOS / "hall-record.csv").write_text(record_text(), encoding="utf-8")
    (SCENARIOS / "hall-skein-bench.csv").write_text(bench_text(), encoding="utf-8")
