"""Rebuild the shipped section tables: PYTHONPATH=sim python tests/reference/make_section_data.py [plates | aerofoil].

The plates need only the package. The aerofoil needs neuralfoil 0.3.3 (PyPI), which the package itself never imports.
"""

from __future__ import annotations

import math
import sys

import numpy as np

from paddlebar.craft.sections import DATA, RE_NODES, plate

COLUMNS = "alpha_deg,cl,cd,Re,cm"

PLATE_HEADER = """\
{title}
Built from named relations [C], NOT measured: thin-aerofoil theory for a circular arc with the shares that
low-Reynolds-number tests allow, laminar friction (Blasius) times {friction:.2f}, loss of leading-edge suction, plate
normal force (Hoerner [M]), Rayleigh's centre of pressure [M]; reversed flow is the mirror image. Equations, and which
constants are our choice without source: docstring of plate() in paddlebar/craft/sections.py.
Written by tests/reference/make_section_data.py.
Held against: references.md 2.0 (Laitone 1997 [A], Pelletier and Mueller 2000 [T], Okamoto et al. 1996 [A]/[M], Schmitz
1942 [M]) and bounds 2.1 [C], in tests/reference/test_section_data.py. No measured table of this section could be read.
Not tuned to any rotor test."""

AEROFOIL_HEADER = """\
RG15 aerofoil, 8.9 % thick, 1.8 % camber (coordinates: public aerofoil collection shipped with aerosandbox 4.2.10).
Computed [C], NOT measured: neural surrogate of a viscous panel method (neuralfoil 0.3.3, model xxxlarge, n_crit 9,
free transition), within -7 to 15 deg as far as its own confidence stays above 0.8, averaged over +-1 deg and +-half an
octave of Re (weights 1/4 1/2 1/4), since it flips between laminar and reattached flow from one point to the next.
Stands for the conventional thin section of references.md 1.1 (SDA1075, 8.5 % thick), whose coordinates were not found.
Held against: one wind-tunnel run at Re 59,900 (UIUC low-speed tests, [T] from the first of three runs in one public
transcription, lift only):
alpha/cl -3.43/-0.129 -0.39/0.129 1.15/0.305 2.72/0.573 4.26/0.705 5.80/0.844 7.31/0.950 8.84/1.027.
Warning (references.md 1.1 item 3): such plane polars show laminar stall below Re 40k that turning blades do not show.
Outside these angles the loader fills in the flat plate's relations. Not tuned to any rotor test."""


def write(name: str, header: str, rows: list[tuple[float, ...]]) -> None:
    """One CSV: comment lines, column names, rows alpha_deg cl cd Re cm."""
    lines = ["# " + line for line in header.splitlines()] + [COLUMNS]
    for alpha, cl, cd, re, cm in rows:
        values = [f"{v + 0.0:.5f}".rstrip("0").rstrip(".") for v in (cl, cd, cm)]
        lines.append(f"{alpha:g},{values[0]},{values[1]},{re:.7g},{values[2]}".replace("-0,", "0,"))
    (DATA / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


def plates() -> None:
    """Both plates all round, 1 deg apart, at every other Reynolds node."""
    angles = [float(a) for a in range(-180, 181)]
    for name, title, camber in (
        ("flat_plate.csv", "Thin flat plate.", 0.0),
        ("shallow_cambered_plate.csv", "Thin circular-arc plate, 3 % camber, both edges sharp.", 0.03),
        ("cambered_plate.csv", "Thin circular-arc plate, 5 % camber, both edges sharp.", 0.05),
    ):
        rows = []
        for re in RE_NODES[::2]:
            polar = np.round(plate(np.radians(angles), float(re), camber), 5)
            rows += [(a, cl, cd, float(re), cm) for a, (cl, cd, cm) in zip(angles, polar, strict=True)]
        write(name, PLATE_HEADER.format(title=title, friction=1.4 + 6.0 * camber), rows)


def aerofoil() -> None:
    """RG15 by the surrogate, 1 deg apart, at every Reynolds node (the laminar stall moves fast with Re)."""
    import aerosandbox
    import neuralfoil

    shape = aerosandbox.Airfoil("rg15")
    alpha = np.arange(-10.0, 19.0)
    polars, trusted = [], []
    for re in RE_NODES:
        got = neuralfoil.get_aero_from_airfoil(shape, alpha=alpha, Re=float(re), n_crit=9.0, model_size="xxxlarge")
        polars.append(np.stack([np.asarray(got[key]) for key in ("CL", "CD", "CM")], axis=-1))
        trusted.append(np.asarray(got["analysis_confidence"]) >= 0.8)
    # the surrogate flips between laminar and reattached flow from one degree, and from one node, to the next:
    # a binomial average of 0.7 deg and a third of an octave makes that a slope
    smooth = _average(_average(np.array(polars), axis=0), axis=1)
    rows = []
    for re, polar, trust in zip(RE_NODES, smooth, trusted, strict=True):
        low = high = int(np.flatnonzero(alpha == 2.0)[0])
        while trust[low - 1] and alpha[low - 1] >= -7.0:
            low -= 1
        while trust[high + 1] and alpha[high + 1] <= 15.0:
            high += 1
        rows += [(alpha[i], polar[i, 0], polar[i, 1], float(re), polar[i, 2]) for i in range(low, high + 1)]
    write("thin_aerofoil.csv", AEROFOIL_HEADER, rows)


def _average(values: np.ndarray, axis: int) -> np.ndarray:
    """Weights 1/4, 1/2, 1/4 along an axis, ends repeated."""
    v = np.moveaxis(values, axis, 0)
    padded = np.concatenate([v[:1], v, v[-1:]])
    return np.moveaxis(0.25 * padded[:-2] + 0.5 * padded[1:-1] + 0.25 * padded[2:], 0, axis)


if __name__ == "__main__":
    assert math.isclose(RE_NODES[-1], 512000.0)
    wanted = sys.argv[1:] or ["plates", "aerofoil"]
    for what in wanted:
        {"plates": plates, "aerofoil": aerofoil}[what]()
