"""The published cut and the takes that it was made of: which second of the one is which second of the other."""

from benchscribe.cut.cutmap import CutMap, Piece
from benchscribe.cut.mapping import map_cut

__all__ = ["CutMap", "Piece", "map_cut"]
