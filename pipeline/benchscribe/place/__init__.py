"""Say which part, and which of its dimensions, every measure speaks of."""

from __future__ import annotations

from benchscribe.place.options import Placed, Switches
from benchscribe.place.stage import place

__all__ = ["Placed", "Switches", "place"]
