"""Chapters: where the talk turns to a new matter, and what the matter is."""

from benchscribe.chapters.stage import cut_chapters

__all__ = ["cut_chapters"]
