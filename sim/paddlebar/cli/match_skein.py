"""What ``paddlebar match`` does with a skein on a torque meter."""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from paddlebar.cli import verb

if TYPE_CHECKING:
    from paddlebar.checks.skein_test import SkeinTest
    from paddlebar.files.scenario import Scenario

OVERLAY, CURVE, PICTURE = "matched.toml", "skein-measured.csv", "skein"


def match_skein(
    chosen: Scenario, source: Path, record: Path, given: Mapping[str, Any], folder: Path, *, pictures: bool
) -> NoReturn:
    """Compute, write overlay, curve and picture, answer."""
    from paddlebar import api
    from paddlebar.cli.outputs import staged
    from paddlebar.files.overlay import overlay

    test = api.skein_test(chosen.craft, record)
    known = not test.record.relative
    changes: dict[str, Any] = {**given, **{f"craft.skein.{key}": value for key, value in test.change.items()}}
    if known:
        changes["craft.skein.measured"] = CURVE
    said = sentences(test)
    with staged(folder) as hidden:
        if known:
            write_curve(test, str(record), hidden / CURVE)
        remarks = [f"Written by paddlebar match from {record}.", *said]
        (hidden / OVERLAY).write_text(overlay(chosen, changes, folder, remarks, source), encoding="utf-8")
        if pictures:
            from paddlebar.pictures.saving import save
            from paddlebar.pictures.skein import draw_skein

            save({PICTURE: draw_skein(test, chosen.craft.name)}, hidden, look=verb.look(chosen.pictures.dpi))
        files = [folder / name for name in sorted(file.name for file in hidden.iterdir())]
    told = {"sentences": said, "craft": chosen.craft.name}
    verb.answer(
        {**test.to_json(), **told, "remarks": [{"line": n, "text": text} for n, text in test.record.remarks]},
        lambda full: verb.Screen(
            f"{chosen.craft.name}: {said[0]}", lines(test, chosen, full), f"paddlebar fly {folder / OVERLAY}"
        ),
        files,
    )


def lines(test: SkeinTest, chosen: Scenario, full: bool) -> list[str]:
    """What the craft takes over, and how good it is."""
    from paddlebar.cli.screen import table

    rows = [[key, f"{getattr(chosen.craft.skein, key):.4g}", f"{value:.4g}"] for key, value in test.change.items()]
    out = table(["key of [skein]", "believed", "from the test"], rows, ("", ">", ">"), full=full)
    return [*out, *sentences(test)[1:], *(f"remark in line {number}: {text}" for number, text in test.record.remarks)]


def sentences(test: SkeinTest) -> list[str]:
    """The answer in words."""
    wound = f"{test.mass_g:.3g} g, {test.length_mm:.4g} mm, {test.section_mm2:.3g} mm2"
    lost = f"{test.lost_percent:.1f} % of the winding lost in this loop"
    if test.record.relative:
        lines = [
            f"{wound}: {lost}; own units without a calibration, so shape and loss alone are taken over, no energy and no curve"
        ]
    else:
        lines = [
            f"{wound}: {test.energy_in_j:.3g} J wound in, {test.energy_out_j:.3g} J got back, {test.energy_kJ_kg:.3g} kJ/kg; {lost}"
        ]
    full = f"wound to {100.0 * test.turns_share:.0f} % of its breaking turns"
    if test.broke:
        lines.append(f"it broke: breaking constant {test.breaking_constant:.3g}; {full}")
    else:
        lines.append(f"it was not broken, breaking constant {test.breaking_constant:.3g} is a belief; {full}")
    if math.isfinite(test.fitted.get("energy_kJ_kg", math.nan)):
        lines.append(
            f"from breaking turns the fitted law would give {test.fitted['energy_kJ_kg']:.3g} kJ/kg (extrapolated)"
        )
    lines.append(f"the fitted law is off by {test.misfit_percent:.1f} % of the largest torque (root mean square)")
    return lines


def write_curve(test: SkeinTest, record: str, path: Path) -> None:
    """The settled unwinding curve of the craft's skein, as [skein] measured takes it."""
    with path.open("w", newline="", encoding="utf-8") as file:
        file.write(f"# written by paddlebar match from {record}; unwinding, settled, for the craft's skein\n")
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["turns", "torque_mN_m"])
        writer.writerows([f"{turns:.6g}", f"{torque:.6g}"] for turns, torque in test.curve)
