"""When the slots in the two ends of one piece are worth a look."""

from __future__ import annotations

from domain.faces.face import LONG, short_piece


def test_a_piece_is_long_from_its_short_points_on() -> None:
    assert short_piece(LONG + 90, LONG) is None
    assert short_piece(LONG + 90, LONG - 0.5) == LONG + 90
