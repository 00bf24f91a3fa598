"""The review desk: a local page on which the maker hears, settles and finishes an episode."""

from benchscribe.desk.server import review

__all__ = ["review"]
