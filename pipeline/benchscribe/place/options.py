"""What placement gives back, and the switches that show what each of its pieces earns."""

from __future__ import annotations

from msgspec import Struct

from benchscribe.records import InHand, Measure


class Placed(Struct, frozen=True):
    """The measures with their places, and the part in hand during every utterance."""

    measures: tuple[Measure, ...]
    """Same order and length as given."""
    in_hand: tuple[InHand, ...]
    """One for every utterance, in order."""


class Switches(Struct, frozen=True, kw_only=True):
    """Pieces of placement that a benchmark can turn off."""

    sequence: bool = True
    """Follow the part in hand through the talk; without it, every passage stands alone."""
    assignment: bool = True
    """Lay the sizes of a chain over the sizes of a part together; without it, each goes its own way."""
    names: bool = True
    """Use the names of parts; without it, only the sizes speak."""


ALL_ON = Switches()
"""Placement as it is meant to be."""
