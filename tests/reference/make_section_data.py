"""Rebuild the shipped section tables: PYTHONPATH=sim python tests/reference/make_section_data.py [plates | rounded | surrogate | aerofoil].

The surrogate of the aerofoil needs neuralfoil 0.3.3 (PyPI), which the package itself never imports; the rest needs only the
package. `aerofoil` takes what `surrogate` wrote into tests/reference, so that it can be made again without neuralfoil.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

import measured_sections as measured
import numpy as np
from scipy.interpolate import PchipInterpolator

from paddlebar.craft.plate import plate
from paddlebar.craft.sections import DATA, RE_NODES

COLUMNS = "alpha_deg,cl,cd,Re,cm"

PLATE_HEADER = """\
{title}
Built from named relations [C], NOT measured: thin-aerofoil theory for a circular arc with the shares that
low-Reynolds-number tests allow, laminar friction (Blasius) times {friction:.2f}, loss of leading-edge suction, plate
normal force (Hoerner [M]), Rayleigh's centre of pressure [M]; reversed flow is the mirror image. Equations, and which
constants are our choice without source: docstring of plate() in paddlebar/craft/plate.py.
Written by tests/reference/make_section_data.py.
Held against: references.md 2.0 (Laitone 1997 [A], Pelletier and Mueller 2000 [T], Okamoto et al. 1996 [A]/[M], Schmitz
1942 [M]) and bounds 2.1 [C], in tests/reference/test_section_data.py. No measured table of this section could be read.
Not tuned to any rotor test."""

ROUNDED_HEADER = """\
{title}
Made of two parts. From Re 60k up it is moved to a plate MEASURED in a wind tunnel [T]: GOE 417a, 2.9 % thick, 5.9 % camber, nose
rounded (UIUC low-speed tests vol. 3, files GOE417A.LFT and .DRG in a public copy), Re 60k, 100k, 200k, 300k, -5 to 19 deg; drag,
measured from -4 to 12 deg, rises to all that a plate without suction has (lift times tan alpha) between {drag_end:g} and
{stalled:g} deg, where its lift breaks down: the shape of that rise is our choice. Beyond, the difference fades out over 20 deg.
Below Re 60k NOT measured: the difference fades in proportion to ln Re and is gone at Re 10k, where the relations of a sharp
sheet are left [C]. That fade is our choice: the tests found nothing below 60k, and lift at small angles goes with ln Re above it.
Camber: the difference is taken as it is for 5 % camber, in proportion to camber below: our choice. A plate of low aspect ratio
without camber and with a round nose has lost its suction from 8 deg on (Pelletier and Mueller 2000 [T], references.md 2.0a).
Written by tests/reference/make_section_data.py from tests/reference/measured_sections.py.
Held against: a second plate of that tunnel (BW-3) and the figure of merit of two rotors. Not tuned to any rotor test."""

AEROFOIL_HEADER = """\
RG15 aerofoil, 8.9 % thick, 1.8 % camber.
From Re 60k to 300k MEASURED in a wind tunnel [T]: mean of two models (UIUC low-speed tests, files RG15B and RG15C, .LFT and
.DRG in a public copy), lift -6 to 16 deg, drag -6 to 9 deg. From 512k on the surrogate, and below Re 60k a fade in proportion to
ln Re to the surrogate at 10k: NOT measured, our choice, the same fade as that of the plates.
Surrogate [C]: neural surrogate of a viscous panel method (neuralfoil 0.3.3, model xxxlarge, n_crit 9, free transition; coordinates
of the public collection shipped with aerosandbox 4.2.10), within -7 to 15 deg as far as its own confidence stays above 0.8,
averaged over +-1 deg and +-half an octave of Re (weights 1/4 1/2 1/4), since it flips between laminar and reattached flow.
Moments are the surrogate's throughout: the measured files hold none.
Stands for the conventional section of references.md 1.1, SDA1075, which is thicker (12.0 %, camber 2.1 %) and of which no
measured polar was found.
Warning (references.md 1.1 item 3): such plane polars show laminar stall below Re 40k that turning blades do not show.
Outside these angles the loader fills in the flat plate's relations. Not tuned to any rotor test."""


SURROGATE = Path(__file__).with_name("rg15_surrogate.csv")
SURROGATE_HEADER = """\
RG15 aerofoil by the surrogate alone [C]; see make_section_data.py and the header of thin_aerofoil.csv."""

FADE_FROM, FADE_TO = 6e4, 1e4  # Reynolds numbers: all of what was measured, none of it
STALLED_DEG = 17.0  # lift of GOE 417a breaks down from 13.6 deg and is level again from 15.5 to 17.6 deg [T]; rounded
RG15_RUNS = [
    (60e3, 61_400, 60_100, 61_100, 59_700), (100e3, 101_900, 100_700, 101_200, 100_100),
    (200e3, 203_500, 201_000, 202_500, 200_400), (300e3, 304_700, 301_400, 302_700, 300_300),
]  # fmt: skip


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


def faded(reynolds: float) -> float:
    """Share of what was measured at Re 6e4 that is left: 1 from there up, 0 from 1e4 down, in proportion to ln Re between [1]."""
    return float(np.clip(math.log(reynolds / FADE_TO) / math.log(FADE_FROM / FADE_TO), 0.0, 1.0))


def out_of_measured(alpha: np.ndarray, table: dict[float, np.ndarray], column: int, reynolds: float) -> np.ndarray:
    """Linear in ln Re between measured runs (held at the ends), monotone cubic in angle (nan outside a run)."""
    known = sorted(table)
    curves = []
    for re in known:
        run = table[re]
        curve = PchipInterpolator(run[:, 0], run[:, column])(alpha)
        # the next whole degree still counts as measured
        curves.append(np.where((alpha > run[0, 0] - 0.5) & (alpha < run[-1, 0] + 0.5), curve, np.nan))
    x = math.log(min(max(reynolds, known[0]), known[-1]))
    j = min(int(np.searchsorted(np.log(known), x, side="right")) - 1, len(known) - 2)
    g = (x - math.log(known[j])) / math.log(known[j + 1] / known[j])
    return np.asarray((1.0 - g) * curves[j] + g * curves[j + 1])


def ends_held(alpha: np.ndarray, values: np.ndarray) -> np.ndarray:
    """nan at either end replaced: the last value, fading to none over 20 deg."""
    inside = np.flatnonzero(np.isfinite(values))
    first, last = inside[0], inside[-1]
    beyond = np.maximum(alpha - alpha[last], 0.0) + np.maximum(alpha[first] - alpha, 0.0)
    u = np.clip(beyond / 20.0, 0.0, 1.0)
    held = np.where(alpha > alpha[last], values[last], np.where(alpha < alpha[first], values[first], values))
    return np.asarray(held * (1.0 - u) ** 2 * (1.0 + 2.0 * u))


def measured_less_assumed(alpha: np.ndarray, reynolds: float) -> np.ndarray:
    """What the measured plate has more than the relations at 5 % camber, (n, 3) cl cd cm, at every angle [deg]."""
    name = "GOE 417a"
    lifts = {re: measured.lift(name, re) for re in measured.LIFT[name]}
    drags = {re: measured.drag(name, re) for re in measured.DRAG[name]}
    assumed = plate(np.radians(alpha), max(reynolds, FADE_FROM), 0.05)
    cl = ends_held(alpha, out_of_measured(alpha, lifts, 1, reynolds) - assumed[:, 0])
    cm = ends_held(alpha, out_of_measured(alpha, lifts, 2, reynolds) - assumed[:, 2])
    drag = out_of_measured(alpha, drags, 1, reynolds)
    # beyond the wake rake: from the share of lost suction that was measured there to all of it where the lift has broken down
    end = float(alpha[np.flatnonzero(np.isfinite(drag))[-1]])
    whole = (assumed[:, 0] + cl) * np.tan(np.radians(alpha))
    least = float(np.nanmin(drag))
    share = (drag[alpha == end] - least) / whole[alpha == end]
    u = np.clip((alpha - end) / (STALLED_DEG - end), 0.0, 1.0)
    share = share + (1.0 - share) * u * u * (3.0 - 2.0 * u)
    fades = np.abs(assumed[:, 0]) > 1e-9
    beyond = (alpha > end) & (alpha < 89.0) & fades
    drag[beyond] = least + share[beyond] * whole[beyond]
    more = drag - assumed[:, 1]
    # where the plate has stalled a load stands upright on it: lift and drag go together, the more so the more lift is left
    far = (alpha > STALLED_DEG) & (alpha < 89.0)
    at_stall = more[alpha == STALLED_DEG] - cl[alpha == STALLED_DEG] * math.tan(math.radians(STALLED_DEG))
    u = np.clip((alpha - STALLED_DEG) / 20.0, 0.0, 1.0)
    more[far] = cl[far] * np.tan(np.radians(alpha[far])) + at_stall * ((1.0 - u) ** 2 * (1.0 + 2.0 * u))[far]
    more[alpha >= 89.0] = 0.0
    return np.stack([cl, ends_held(alpha, more), cm], axis=-1)


def rounded() -> None:
    """Curved plates whose nose is rounded, 1 deg apart, at every Reynolds node from 8000 up."""
    alpha = np.arange(-180.0, 181.0)
    for name, title, camber in (
        ("shallow_cambered_plate_rounded.csv", "Thin circular-arc plate, 3 % camber, nose rounded.", 0.03),
        ("cambered_plate_rounded.csv", "Thin circular-arc plate, 5 % camber, nose rounded.", 0.05),
    ):
        out = []
        for re in (*RE_NODES[:4:2], *RE_NODES[4:]):
            more = measured_less_assumed(alpha, float(re)) * faded(float(re)) * camber / 0.05
            polar = np.round(plate(np.radians(alpha), float(re), camber) + more, 5)
            out += [(a, *values, float(re)) for a, values in zip(alpha, polar.tolist(), strict=True)]
        header = ROUNDED_HEADER.format(title=title, drag_end=12.0, stalled=STALLED_DEG)
        write(name, header, [(a, cl, cd, re, cm) for a, cl, cd, cm, re in out])


def aerofoil() -> None:
    """RG15: the measured mean of two models, faded into the surrogate below Re 6e4 and above 3e5."""
    table = np.genfromtxt(SURROGATE, delimiter=",", skip_header=1, names=True)
    nodes = sorted(set(table["Re"].tolist()))
    runs = {}
    for re, b_lift, c_lift, b_drag, c_drag in RG15_RUNS:
        alpha = np.arange(-6.0, 17.0)
        lift = 0.5 * sum(_at(measured.lift(f"RG15 {m}", r), alpha) for m, r in (("B", b_lift), ("C", c_lift)))
        drag = 0.5 * sum(_at(measured.drag(f"RG15 {m}", r), alpha) for m, r in (("B", b_drag), ("C", c_drag)))
        runs[re] = np.column_stack([alpha, lift, drag])
    out = []
    for re in nodes:
        here = table[table["Re"] == re]
        alpha, both = here["alpha_deg"], np.column_stack([here["cl"], here["cd"]])
        above = float(np.clip(1.0 - math.log(max(re / 300e3, 1.0)) / math.log(512.0 / 300.0), 0.0, 1.0))
        if share := faded(re) * above:
            # below 6e4 the difference of 6e4 is what fades
            near = table[table["Re"] == min(nodes, key=lambda n: abs(math.log(n / max(re, FADE_FROM))))]
            for column, name in enumerate(("cl", "cd")):
                got = _blend(near["alpha_deg"], runs, column + 1, max(re, FADE_FROM))
                more = ends_held(near["alpha_deg"], got - near[name])
                both[:, column] += share * np.interp(alpha, near["alpha_deg"], more)
        out += [
            (a, *values, re, cm)
            for a, values, cm in zip(alpha.tolist(), both.tolist(), here["cm"].tolist(), strict=True)
        ]
    write("thin_aerofoil.csv", AEROFOIL_HEADER, out)


def _at(run: np.ndarray, alpha: np.ndarray) -> np.ndarray:
    return np.asarray(PchipInterpolator(run[:, 0], run[:, 1], extrapolate=False)(alpha))


def _blend(alpha: np.ndarray, runs: dict[float, np.ndarray], column: int, reynolds: float) -> np.ndarray:
    """As out_of_measured, of runs that hold nan where they end."""
    known = {re: run[np.isfinite(run[:, column])] for re, run in runs.items()}
    return out_of_measured(alpha, known, column, reynolds)


def surrogate() -> None:
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
    write(str(SURROGATE), SURROGATE_HEADER, rows)


def _average(values: np.ndarray, axis: int) -> np.ndarray:
    """Weights 1/4, 1/2, 1/4 along an axis, ends repeated."""
    v = np.moveaxis(values, axis, 0)
    padded = np.concatenate([v[:1], v, v[-1:]])
    return np.moveaxis(0.25 * padded[:-2] + 0.5 * padded[1:-1] + 0.25 * padded[2:], 0, axis)


if __name__ == "__main__":
    assert math.isclose(RE_NODES[-1], 512000.0)
    wanted = sys.argv[1:] or ["plates", "rounded", "aerofoil"]
    for what in wanted:
        {"plates": plates, "rounded": rounded, "surrogate": surrogate, "aerofoil": aerofoil}[what]()
