"""Reads every spoken or written size exactly, and writes sizes as the trade does.

Stands on its own: the standard library, the table of units and the errors are all that it needs. `stage` turns readings into the
episode's records, `lines` answers one text a line, `spacy_component` is for spaCy pipelines; none of them is imported here.

>>> from benchscribe.measures import read
>>> [(r.value, r.unit) for r in read("cut it two and a quarter by an inch").measures]
[(Fraction(9, 4), 'inch'), (Fraction(1, 1), 'inch')]
"""

from __future__ import annotations

from benchscribe.measures.reader import read, read_size, read_words
from benchscribe.measures.types import Alternative, BuildUnits, Reading, Readings, TradeReading
from benchscribe.measures.write import Style, nearest_fraction, write_dual, write_measure

__all__ = [
    "Alternative",
    "BuildUnits",
    "Reading",
    "Readings",
    "Style",
    "TradeReading",
    "nearest_fraction",
    "read",
    "read_size",
    "read_words",
    "write_dual",
    "write_measure",
]
