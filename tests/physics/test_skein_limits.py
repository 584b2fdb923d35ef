"""Breaking turns in closed form. The published worked example: tests/reference/test_rubber.py."""

from __future__ import annotations

import pytest

from paddlebar.physics.skein_limits import breaking_turns


def test_turns_of_a_skein_by_hand() -> None:
    """K 10, 200 mm of 4 mm^2: 10 x 0.2/0.002 = 1000; in proportion to length and K, as one over the root of the section."""
    assert breaking_turns(0.2, 4e-6, 10.0) == pytest.approx(1000.0, rel=1e-12)
    assert breaking_turns(0.3, 4e-6, 10.0) == pytest.approx(1500.0, rel=1e-12)
    assert breaking_turns(0.2, 1e-6, 11.0) == pytest.approx(2200.0, rel=1e-12)
