"""The tools and the materials of an episode, each once."""

from __future__ import annotations

from benchscribe.records import ListedName, Mentions


def listed_tools(mentions: Mentions) -> tuple[ListedName, ...]:
    """Give the tools that were used, each once, in the order of first mention."""
    return ()


def listed_materials(mentions: Mentions) -> tuple[ListedName, ...]:
    """Give the materials that were used, each once, in the order of first mention."""
    return ()
