"""Draw the shipped sections over the points that were measured: PYTHONPATH=sim python tests/reference/make_section_picture.py."""

from __future__ import annotations

from pathlib import Path

import matplotlib as mpl
import measured_sections as measured
import numpy as np
from PIL import Image

from paddlebar.craft.sections import section_table
from paddlebar.physics.section import coefficients

PICTURE = Path(__file__).parents[2] / "sim" / "paddlebar" / "docs" / "inside" / "sections.png"
ALPHA = np.arange(-6.0, 20.01, 0.25)
# title, section, its lines (nose, Re), measured runs (name, Re of lift, of drag)
PANELS = [
    ("cambered plate", "cambered plate", [("rounded", 60e3), ("rounded", 200e3), ("rounded", 20e3), ("sharp", 60e3)],
     [("GOE 417a", 60_200, 59_300), ("GOE 417a", 199_700, 198_500), ("BW-3", 60_000, 59_400)]),
    ("shallow cambered plate", "shallow cambered plate", [("rounded", 60e3), ("rounded", 200e3), ("rounded", 20e3), ("sharp", 60e3)], []),
    ("thin aerofoil (RG15)", "thin aerofoil", [("sharp", 60e3), ("sharp", 200e3), ("sharp", 20e3)],
     [("RG15 B", 61_400, 61_100), ("RG15 C", 60_100, 59_700), ("RG15 B", 203_500, 202_500)]),
    ("flat plate", "flat plate", [("sharp", 60e3), ("sharp", 20e3)], []),
]  # fmt: skip
COLOURS = ["#1b6ca8", "#c8553d", "#6b7f3a", "#7a7a7a"]
MARKS = ["o", "s", "^"]


def polar(table: np.ndarray, reynolds: float) -> np.ndarray:
    return np.array([coefficients(table, 0, np.radians(a), np.log(reynolds))[:2] for a in ALPHA])


def main() -> None:
    mpl.use("Agg")
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(2, len(PANELS), figsize=(13.5, 7.0), sharex=True, layout="constrained")
    for column, (title, name, lines, runs) in enumerate(PANELS):
        lift, drag = axes[0, column], axes[1, column]
        for k, (nose, re) in enumerate(lines):
            both = polar(section_table(name, nose)[None], re)
            said = f"{nose} nose, " if section_table(name, "rounded") is not section_table(name) else ""
            for axis, values in ((lift, both[:, 0]), (drag, both[:, 1])):
                axis.plot(
                    ALPHA,
                    values,
                    "--" if nose == "sharp" and said else "-",
                    color=COLOURS[k],
                    lw=1.4,
                    label=f"{said}Re {re / 1e3:.0f}k",
                )
        for k, (run, of_lift, of_drag) in enumerate(runs):
            for axis, rows in ((lift, measured.lift(run, of_lift)), (drag, measured.drag(run, of_drag))):
                axis.plot(
                    rows[:, 0],
                    rows[:, 1],
                    MARKS[k],
                    ms=3.5,
                    mfc="none",
                    color="black",
                    label=f"{run}, Re {of_lift / 1e3:.0f}k, measured",
                )
        lift.set_title(title, fontsize=10)
        lift.legend(fontsize=6.5, loc="lower right")
        drag.set(ylim=(0.0, 0.16), xlabel="angle of attack [deg]")
        for axis in (lift, drag):
            axis.grid(alpha=0.3)
    axes[0, 0].set_ylabel("lift coefficient")
    axes[1, 0].set_ylabel("drag coefficient")
    figure.savefig(PICTURE, dpi=90, metadata={"Software": ""})
    with Image.open(PICTURE) as drawn:
        drawn.convert("RGB").quantize(48).save(PICTURE, optimize=True)  # the manual's pictures are small


if __name__ == "__main__":
    main()
