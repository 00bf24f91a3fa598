"""The published cut and the takes that it was made of: which second of the one is which second of the other."""

from benchscribe.cut.carry import asked_about, carry_to_cut
from benchscribe.cut.cutmap import CutMap, Piece
from benchscribe.cut.inserts import with_inserts, without_inserts
from benchscribe.cut.mapping import map_cut
from benchscribe.cut.markers import Marker, editor_markers, marker_files, markers_csv, markers_vtt
from benchscribe.cut.refine import refine
from benchscribe.cut.tries import find_tries, with_tries

__all__ = [
    "CutMap",
    "Marker",
    "Piece",
    "asked_about",
    "carry_to_cut",
    "editor_markers",
    "find_tries",
    "map_cut",
    "marker_files",
    "markers_csv",
    "markers_vtt",
    "refine",
    "with_inserts",
    "with_tries",
    "without_inserts",
]
