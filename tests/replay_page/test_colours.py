"""The planes, the shaft and the two flights are told apart by colour-blind eyes as well, by day and by night.

Eyes: linear-light matrices of G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for simulation of color
vision deficiency", IEEE TVCG 15(6) (2009), severity 1 [M]. Distance: CIE 1976, in L*a*b* [C]; 2.3 is just noticed (common practice,
no source), so 20 is plain. Tried once with the wine and grey that stood there before: failed (6, deuteranopia, bar and horizon).
"""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from paddlebar import replay_page

Array = NDArray[np.float64]

PLAIN = 20.0
EYES = {
    "all three": np.eye(3),
    "no green": np.array([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]),
    "no red": np.array([[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]),
    "no blue": np.array([[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]),
}  # fmt: skip
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def theme(name: str) -> dict[str, str]:
    """Colours of a theme by name, six digits each; the two flights as a and b."""
    text = (Path(replay_page.__file__).parent / "page" / "src" / "colours.js").read_text("utf-8")
    body = re.search(rf"^  {name}: \{{(.*?)^  \}},", text, re.DOTALL | re.MULTILINE)
    assert body is not None
    found = dict(re.findall(r"(\w+): 0x([0-9a-f]{6})", body[1]))
    runs = re.search(r'runs: \["#(\w{6})", "#(\w{6})"\]', body[1])
    assert runs is not None
    return {**found, "a": runs[1], "b": runs[2]}


def seen(colour: str, eye: Array) -> Array:
    """L*a*b* of a colour as an eye has it."""
    c = np.array([int(colour[i : i + 2], 16) for i in (0, 2, 4)]) / 255.0
    light = np.clip(eye @ np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4), 0.0, 1.0)
    x = TO_XYZ @ light / TO_XYZ.sum(axis=1)
    f = np.where(x > 0.008856, np.cbrt(x), 7.787 * x + 16.0 / 116.0)
    return np.array([116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])])


@pytest.mark.parametrize("eye", list(EYES))
@pytest.mark.parametrize("name", ["light", "dark"])
def test_planes_and_flights_are_told_apart(name, eye):
    colours = theme(name)
    pairs = [*itertools.combinations(("disc", "bar", "horizon", "shaft"), 2), ("a", "b")]
    near = {
        pair: round(distance)
        for pair in pairs
        if (distance := float(np.linalg.norm(seen(colours[pair[0]], EYES[eye]) - seen(colours[pair[1]], EYES[eye]))))
        < PLAIN
    }
    assert near == {}
