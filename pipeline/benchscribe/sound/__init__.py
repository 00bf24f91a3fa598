"""Sound as it is compared: how loud it is in a few bands, a hundred times a second, and where two recordings have the same sound."""

from __future__ import annotations

from benchscribe.sound.bands import FRAMES_PER_S, STEPS_PER_DB, Bands, bands_of
from benchscribe.sound.claps import find_claps
from benchscribe.sound.same import Same, find_same

__all__ = ["FRAMES_PER_S", "STEPS_PER_DB", "Bands", "Same", "bands_of", "find_claps", "find_same"]
