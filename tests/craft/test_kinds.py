"""Rows of the tables of heads and bars, and what they say about the blades."""

from __future__ import annotations

from typing import get_args

import pytest

from paddlebar.craft.kinds import BARS, HEADS, feather_share
from paddlebar.craft.parameters import MAX_BLADES
from paddlebar.files import craft as described


def test_every_kind_of_the_files_has_its_row_and_no_other() -> None:
    assert set(get_args(described.Head.model_fields["kind"].annotation)) == set(HEADS)
    assert set(get_args(described.Bar.model_fields["kind"].annotation)) == set(BARS)


@pytest.mark.parametrize("row", [*HEADS.values(), *BARS.values()], ids=[*HEADS, *BARS])
def test_every_row_says_what_it_is(row: object) -> None:
    says = getattr(row, "says")  # noqa: B009
    assert len(says) > 10
    assert "\n" not in says
    assert type(row).__doc__


@pytest.mark.parametrize(("kind", "blades"), [(kind, n) for kind, head in HEADS.items() for n in head.blades])
def test_each_blade_of_a_head_moves_with_a_coordinate_that_there_is(kind: str, blades: int) -> None:
    head = HEADS[kind]
    flaps = head.flaps(blades)
    moves = [head.moves(i) for i in range(blades)]
    used = {which for which, _ in moves if which >= 0}
    assert used == set(range(flaps))
    assert all(abs(sense) == 1.0 for which, sense in moves if which >= 0)
    assert 2 <= blades <= MAX_BLADES


def test_heads_by_hand() -> None:
    assert [HEADS["teetering"].moves(i) for i in range(2)] == [(0, 1.0), (0, -1.0)]
    assert [HEADS["flapping"].moves(i) for i in range(3)] == [(0, 1.0), (1, 1.0), (2, 1.0)]
    assert HEADS["rigid"].flaps(4) == 0


def test_bars_by_hand() -> None:
    assert {kind: (bar.present, bar.tilts) for kind, bar in BARS.items()} == {
        "none": (False, False),
        "locked": (True, False),
        "seesaw": (True, True),
    }


@pytest.mark.parametrize("blades", [2, 3, 4, 5, 6])
def test_one_bar_pitches_opposite_blades_oppositely(blades: int) -> None:
    """The first blade has the gain; over all blades nothing is left (no collective)."""
    shares = [feather_share(0.5, i, blades) for i in range(blades)]
    assert shares[0] == 0.5
    assert sum(shares) == pytest.approx(0.0, abs=1e-15)
    if blades % 2 == 0:
        assert shares[blades // 2] == pytest.approx(-0.5, rel=1e-15)
    if blades == 4:
        assert shares[1] == pytest.approx(0.0, abs=1e-16)
