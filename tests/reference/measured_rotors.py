"""Small two-blade rotors on a stand: geometry and what was measured.

Source : R. W. Deters, PhD thesis, UIUC 2014, AIAA 2014-2151; UIUC Propeller Data Base vol. 2, read in a public copy
         (Piotrek2133/Drone-Propellers-Optimizer, volume2_geom.csv, volume2_exp.csv) [T]; references.md 1.1a, 1.5a.
Rows   : geometry r/R, c/R, blade angle [deg]; static points rpm, CT, CQ, figure of merit (rotor coefficients).
"""

from __future__ import annotations

from dataclasses import dataclass

from paddlebar.files.craft import Craft
from reference.rig import craft
from reference.test_small_rotor import THICKER

INCH = 25.4


@dataclass(frozen=True)
class Rotor:
    """radius_mm : shaft to tip;  geometry, static : rows as above;  section : which of ours stands in."""

    radius_mm: float
    geometry: str
    section: str = "thin aerofoil"
    static: str = ""

    @property
    def drag_factor(self) -> float:
        """The printed blades are thicker than the section that stands in."""
        return THICKER if self.section == "thin aerofoil" else 1.0

    def craft(self, blades: int = 2, section: str = "") -> Craft:
        """On the stand, its root where the geometry begins."""
        rows = numbers(self.geometry)
        stations = [
            {"radius_mm": r * self.radius_mm, "chord_mm": c * self.radius_mm, "pitch_deg": beta} for r, c, beta in rows
        ]
        return craft(
            rotor={
                "blades": blades, "radius_mm": self.radius_mm, "root_mm": rows[0][0] * self.radius_mm, "collective_deg": 0,
                "section": section or self.section, "station": stations, "drag_factor": self.drag_factor,
            }
        )  # fmt: skip

    def points(self) -> list[tuple[float, ...]]:
        return numbers(self.static)


def numbers(text: str) -> list[tuple[float, ...]]:
    return [tuple(float(cell) for cell in row.split()) for row in text.split("|")]


ROTORS = {
    "DA4002 9 x 2.85": Rotor(
        4.5 * INCH,
        """.15 .1248 43.320|.20 .1147 38.634|.25 .1462 31.915|.30 .1705 28.052|.35 .1789 24.658|.40 .1798 21.238|.45 .1801 18.602|
        .50 .1817 16.694|.55 .1821 14.984|.60 .1814 13.469|.65 .1815 12.289|.70 .1814 11.332|.75 .1807 10.539|.80 .1805 9.863|
        .85 .1810 9.245|.90 .1814 8.712|.95 .1611 7.302|1.0 .0514 1.192""",
    ),
    "DA4002 9 x 4.76": Rotor(
        4.5 * INCH,
        """.15 .1253 44.221|.20 .1158 41.639|.25 .1478 36.819|.30 .1731 33.254|.35 .1803 30.176|.40 .1801 26.971|.45 .1799 24.301|
        .50 .1808 22.390|.55 .1815 20.638|.60 .1812 19.079|.65 .1812 17.795|.70 .1811 16.653|.75 .1808 15.719|.80 .1813 14.945|
        .85 .1815 14.224|.90 .1812 13.675|.95 .1493 11.870|1.0 .0045 8.130""",
    ),
    "DA4002 9 x 6.75": Rotor(
        4.5 * INCH,
        """.15 .1198 42.481|.20 .1128 44.647|.25 .1436 41.154|.30 .1689 37.475|.35 .1775 34.027|.40 .1782 30.549|.45 .1773 27.875|
        .50 .1782 25.831|.55 .1790 23.996|.60 .1787 22.396|.65 .1787 21.009|.70 .1786 19.814|.75 .1785 18.786|.80 .1790 17.957|
        .85 .1792 17.245|.90 .1792 16.657|.95 .1692 13.973|1.0 .0154 2.117""",
    ),
    "DA4002 9 x 8.95": Rotor(
        4.5 * INCH,
        """.15 .1237 46.133|.20 .1156 47.135|.25 .1465 45.275|.30 .1702 42.641|.35 .1791 39.111|.40 .1791 35.616|.45 .1786 32.962|
        .50 .1797 30.955|.55 .1803 29.208|.60 .1800 27.606|.65 .1801 26.251|.70 .1795 25.061|.75 .1795 24.011|.80 .1803 23.191|
        .85 .1803 22.464|.90 .1805 21.779|.95 .1584 18.976|1.0 .0220 5.306""",
    ),
    "DA4002 5 x 3.75": Rotor(
        2.5 * INCH,
        """.15 .1253 41.466|.20 .1121 44.054|.25 .1384 40.139|.30 .1594 36.430|.35 .1705 33.121|.40 .1760 30.108|.45 .1780 27.726|
        .50 .1783 25.858|.55 .1778 24.093|.60 .1788 22.396|.65 .1801 20.921|.70 .1797 19.817|.75 .1804 18.933|.80 .1810 18.173|
        .85 .1796 17.534|.90 .1793 16.840|.95 .1555 14.427|1.0 .0226 15.523""",
        static="""1410 .01522 .004001 .332|1977 .01600 .003929 .364|2447 .01599 .003907 .366|3060 .01581 .003837 .366|
        3550 .01593 .003769 .377|3987 .01619 .003773 .386|4513 .01614 .003682 .394|4967 .01610 .003714 .389|5533 .01582 .003586 .392|
        5930 .01618 .003640 .400|6483 .01652 .003759 .399|6913 .01672 .003669 .417|7440 .01664 .003801 .400""",
    ),
    "DA4022 9 x 6.75": Rotor(
        4.5 * INCH,
        """.15 .1193 42.796|.20 .1286 44.686|.25 .1828 40.682|.30 .2233 37.035|.35 .2332 33.643|.40 .2301 30.338|.45 .2288 27.662|
        .50 .2302 25.566|.55 .2310 23.829|.60 .2304 22.353|.65 .2299 21.112|.70 .2300 20.013|.75 .2301 18.971|.80 .2303 18.002|
        .85 .2307 17.117|.90 .2308 16.205|.95 .2179 12.840|1.0 .0282 6.329""",
    ),
    "gwsdd 5 x 3": Rotor(
        2.5 * INCH,
        """.15 .2290 17.20|.25 .2359 18.98|.35 .2382 20.20|.45 .2382 20.57|.55 .2321 19.49|.65 .2177 17.00|.75 .1967 14.73|
        .85 .1696 12.90|.95 .1266 11.66|1.0 .0242 5.75""",
        "cambered plate",
        """1547 .01321 .002253 .476|2973 .01355 .001961 .569|4443 .01407 .001916 .616|5920 .01432 .001902 .637|
        7413 .01454 .001929 .642|8900 .01455 .001892 .656""",
    ),
    "ef 130 x 70": Rotor(
        65.0,
        """.15 .1085 45.183|.20 .1265 40.121|.25 .1447 34.815|.30 .1620 30.077|.35 .1768 26.358|.40 .1870 23.644|.45 .1922 21.829|
        .50 .1924 20.462|.55 .1879 19.262|.60 .1805 18.146|.65 .1712 17.059|.70 .1607 16.002|.75 .1494 15.041|.80 .1369 13.964|
        .85 .1235 12.629|.90 .1098 11.234|.95 .0908 8.893|1.0 .0389 1.758""",
        "cambered plate",
        """1530 .01093 .001999 .404|2940 .01205 .001881 .497|4487 .01276 .001836 .555|5963 .01329 .001862 .582|
        7403 .01403 .001923 .611|8927 .01446 .001908 .644""",
    ),
}  # fmt: skip

# rotor, rpm, advance ratio at which the thrust vanishes (between measured points)
ZERO_THRUST = [
    ("DA4002 9 x 2.85", 5036.0, 0.519), ("DA4002 9 x 4.76", 5000.0, 0.680), ("DA4002 9 x 6.75", 3030.0, 0.864),
    ("DA4002 9 x 6.75", 5064.0, 0.891), ("DA4002 9 x 8.95", 5000.0, 1.087), ("DA4022 9 x 6.75", 5000.0, 0.806),
    ("DA4002 5 x 3.75", 4031.0, 0.847), ("DA4002 5 x 3.75", 6045.0, 0.874),
]  # fmt: skip
