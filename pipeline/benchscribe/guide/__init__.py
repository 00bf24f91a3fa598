"""The build guide: steps in the maker's own words, the cut list and the stock to buy."""

from benchscribe.guide.cleaning import clean_text
from benchscribe.guide.stage import make_guide

__all__ = ["clean_text", "make_guide"]
