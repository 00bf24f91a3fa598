"""What is spoken of: parts, tools, materials, operations, hazards, what went wrong and what was put off."""

from __future__ import annotations

from benchscribe.mentions.find import find_mentions
from benchscribe.mentions.lists import listed_materials, listed_tools
from benchscribe.mentions.vocabulary import Vocabulary, load_vocabulary

__all__ = ["Vocabulary", "find_mentions", "listed_materials", "listed_tools", "load_vocabulary"]
