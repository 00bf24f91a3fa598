"""The map between a published cut and its takes, as records."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import Final

from msgspec import Struct, structs

from benchscribe.records import CutPiece, Span

EDGE_S: Final = 0.6
"""Seconds of pause at the edge of a piece that still count as the piece's."""

_DOUBT: Final = 4
"""Words in no take by which the doubt halves that they are a passage that was misheard."""


class Piece(CutPiece, frozen=True, kw_only=True):
    """A stretch of the cut that comes out of one stretch of one take, or out of none, with its words."""

    cut_span: Span
    """Half-open indices into the cut's words."""
    take_span: Span | None = None
    """Half-open indices into the takes' words; None for an insert."""
    knots: tuple[tuple[float, float], ...] = ()
    """Times of the cut and of the takes that belong together, rising on both sides."""


class CutMap(Struct, frozen=True):
    """Which second of the cut is which second of which take."""

    pieces: tuple[Piece, ...]
    """In the order of the cut, covering all its words."""
    take_words: tuple[int | None, ...]
    """For each word of the cut the word of the takes that it is; None where none agrees."""
    inside: tuple[int | None, ...]
    """For each word of the cut the piece that it lies in; None for words without a time."""

    def to_take(self, start_s: float) -> float | None:
        """Give the takes' running time of a moment of the cut; None where it is in no take."""
        best: tuple[float, Piece] | None = None
        at = bisect_right(self.pieces, start_s, key=lambda piece: piece.cut_from_s)
        for piece in self.pieces[max(0, at - 2) : at + 1]:
            away = max(piece.cut_from_s - start_s, start_s - piece.cut_to_s, 0.0)
            if best is None or away < best[0]:
                best = (away, piece)
        if best is None or best[0] > EDGE_S or best[1].take_from_s is None:
            return None
        return round(between(best[1].knots, start_s, 0), 3)

    def to_cut(self, start_s: float) -> float | None:
        """Give the cut's time of a moment of the takes; None where the edit took it out.

        Where the cut has it twice (a teaser before the title), the longer piece is meant.
        """
        best: tuple[float, float, Piece] | None = None
        for piece in self.pieces:
            if piece.take_from_s is None or piece.take_to_s is None:
                continue
            away = max(piece.take_from_s - start_s, start_s - piece.take_to_s, 0.0)
            length = piece.cut_to_s - piece.cut_from_s
            if away <= EDGE_S and (best is None or (away, -length) < best[:2]):
                best = (away, -length, piece)
        return None if best is None else round(max(0.0, between(best[2].knots, start_s, 1)), 3)

    @property
    def share_mapped(self) -> float:
        """Share of the cut's dated words that are in a take."""
        known = [n for n in self.inside if n is not None]
        return sum(self.pieces[n].take_span is not None for n in known) / len(known) if known else 0.0


def between(knots: Sequence[tuple[float, float]], value: float, side: int) -> float:
    """Read off the other side's time: in proportion between two knots, second for second outside of them."""
    other = 1 - side
    at = bisect_right(knots, value, key=lambda knot: knot[side])
    if at == 0:
        return knots[0][other] + value - knots[0][side]
    if at == len(knots):
        return knots[-1][other] + value - knots[-1][side]
    low, high = knots[at - 1], knots[at]
    span = high[side] - low[side]
    share = (value - low[side]) / span if span > 0 else 0.0
    return float(low[other] + share * (high[other] - low[other]))


def doubt_of(words: int) -> float:
    """Say how sure it is that so many words in no take are an insert, and no passage that was misheard."""
    return round(1 - float(0.5 ** (words / _DOUBT)), 3)


def marked(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Mark the pieces that stand before something that was said earlier than they."""
    out = []
    least = float("inf")
    for piece in reversed(pieces):
        moved = piece.take_from_s is not None and piece.take_from_s > least
        out.append(structs.replace(piece, moved=moved))
        if piece.take_from_s is not None:
            least = min(least, piece.take_from_s)
    return tuple(reversed(out))
