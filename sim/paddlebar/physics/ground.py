"""Ground effect: the floor takes part of the induced velocity away."""

from __future__ import annotations

from numba import njit

_NEAREST = 0.35  # of a radius; nearer than that the image model is not meant


@njit(cache=True, error_model="numpy")
def induced_share(height_over_radius):
    """Induced velocity near the floor over that far from it, 1 - (R / 4z)^2.

    height_over_radius : of the disc above the floor, z/R [1]; held below 0.35
    Returns   : factor on the induced velocity [1]; at equal power the thrust rises by its inverse
    Holds for : z/R >= 0.5, hover or slow flight, disc nearly level
    Source    : I. C. Cheeseman, W. E. Bennett, ARC R&M 3021 (1955); references section 1.7 [M]
    Checked   : tests/reference/test_ground_effect.py
    """
    z = height_over_radius
    if z < _NEAREST:
        z = _NEAREST
    return 1.0 - 1.0 / (16.0 * z * z)
