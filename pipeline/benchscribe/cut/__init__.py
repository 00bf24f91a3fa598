"""The published cut and the takes that it was made of: which second of the one is which second of the other."""

from benchscribe.cut.carry import carry_to_cut
from benchscribe.cut.cutmap import CutMap, Piece
from benchscribe.cut.inserts import with_inserts, without_inserts
from benchscribe.cut.mapping import map_cut
from benchscribe.cut.tries import find_tries, with_tries

__all__ = [
    "CutMap",
    "Piece",
    "carry_to_cut",
    "find_tries",
    "map_cut",
    "with_inserts",
    "with_tries",
    "without_inserts",
]
