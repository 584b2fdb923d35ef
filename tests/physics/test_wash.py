"""The main rotor's wash: a vortex cylinder on its axis, continuity across it.

Broken : edge 1/factor for its root; flow upwards taken as downwards: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from paddlebar.physics.wash import developed, flow_sense, wash_met, wash_share

EDGE = 0.08


@pytest.mark.parametrize("distance", [-3.0, -0.5, 0.0, 0.3, 1.0, 4.0])
def test_speed_on_the_axis_is_that_of_a_stack_of_vortex_rings(distance: float) -> None:
    """Biot-Savart of rings from the disc to infinity, each with R^2/(2 (R^2 + s^2)^1.5) on the axis; 1/2 at the disc, hence the 2."""
    whole = quad(lambda s: 0.5 / (1.0 + s * s) ** 1.5, -distance, math.inf)[0]
    assert developed(distance) == pytest.approx(2.0 * whole, rel=1e-7)


def test_far_away() -> None:
    assert developed(0.0) == 1.0
    assert developed(1e3) == pytest.approx(2.0, abs=1e-6)
    assert developed(-1e3) == pytest.approx(0.0, abs=1e-6)
    assert wash_share(-1e3, 0.0, 1.0) == 0.0
    assert wash_share(1.0, 5.0, 1.0) == pytest.approx(0.0, abs=1e-12)


def test_on_the_shaft_the_share_is_the_developed_speed() -> None:
    for below in (-0.4, 0.1, 1.0, 3.0):
        assert wash_share(below, 0.0, 1.0) == pytest.approx(developed(below), rel=1e-6)


@pytest.mark.parametrize("below", [0.0, 0.5, 1.0, 3.0, 10.0])
def test_the_same_air_passes_every_cross_section_of_the_wake(below: float) -> None:
    """2 int share r dr = 1 with a sharp edge; its smearing by tanh adds factor pi^2 d^2/12 [C], 1 % at most. 1e-6."""
    flow = quad(lambda r: 2.0 * r * wash_share(below, r, 1.0), 0.0, 3.0, epsabs=1e-10, limit=200)[0]
    assert flow == pytest.approx(1.0 + developed(below) * (math.pi * EDGE) ** 2 / 12.0, rel=1e-6)


def test_flow_upwards_is_the_mirror_image() -> None:
    for below in (-1.0, -0.2, 0.0, 0.7):
        for off in (0.0, 0.6, 0.9, 1.2):
            assert wash_share(below, off, -1.0) == wash_share(-below, off, 1.0)


def test_in_between_senses_it_is_the_disc_s_own_speed() -> None:
    """No flow through the disc: no up- or downstream, factor 1 at any height."""
    for below in (-1.0, 0.0, 2.0):
        assert wash_share(below, 0.0, 0.0) == pytest.approx(1.0, abs=1e-9)


def test_it_falls_outwards_without_a_step() -> None:
    share = np.array([wash_share(1.0, r, 1.0) for r in np.linspace(0.0, 2.0, 2001)])
    assert (np.diff(share) <= 0.0).all()
    assert np.abs(np.diff(share)).max() < 1.1 * 0.001 * developed(1.0) / (2.0 * EDGE)  # slope of tanh at its middle


def test_flow_picks_the_side_of_the_wake_smoothly() -> None:
    """Odd, 1/sqrt 2 at its own 0.3 m/s, a side only far from it; fully down or up it leaves one share alone."""
    for flow in (0.05, 0.3, 2.0):
        assert flow_sense(-flow) == -flow_sense(flow)
    assert flow_sense(0.3) == pytest.approx(math.sqrt(0.5), rel=1e-15)
    assert flow_sense(0.0) == 0.0
    assert flow_sense(30.0) == pytest.approx(1.0, abs=1e-4)
    assert wash_met(0.5, 1.0, 1.4, 0.2) == pytest.approx(0.7, rel=1e-15)
    assert wash_met(0.5, -1.0, 1.4, 0.2) == pytest.approx(0.1, rel=1e-15)
    assert wash_met(0.5, 0.0, 1.4, 0.2) == pytest.approx(0.4, rel=1e-15)


def test_edge_is_smeared_over_eight_hundredths_of_a_radius_as_tanh() -> None:
    """Half at the edge of the wake, 1/sqrt(factor) downstream and one radius upstream; (1 - tanh 1)/2 a smearing's width outside."""
    for below in (-0.5, 0.0, 0.8, 5.0):
        factor = developed(below)
        edge = min(1.0, 1.0 / math.sqrt(factor))
        assert wash_share(below, edge, 1.0) == pytest.approx(0.5 * factor, rel=1e-12)
        assert wash_share(below, edge + EDGE, 1.0) == pytest.approx(factor * 0.5 * (1.0 - math.tanh(1.0)), rel=1e-12)


def test_far_upstream_the_little_that_is_left_is_called_nothing() -> None:
    """Below a thousandth: 22.3 radii upstream, where 1 - z/sqrt(1 + z^2) = 1/(2 z^2) passes it."""
    assert wash_share(-22.0, 0.0, 1.0) == pytest.approx(0.5 / 22.0**2, rel=2e-3)
    assert wash_share(-22.6, 0.0, 1.0) == 0.0
