"""Talk without any full stop or comma, as some recognisers write it: what a number could count, and where the next clause begins."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import NUMERAL, Token

_LEAST_TOKENS: Final = 60
"""A few words without a stop are a line; more than that are talk that has none."""
_MOST_STOPS: Final = 0.02
"""Stops a word; talk that is punctuated has 0.1 to 0.2."""
_REACH: Final = 4
"""Words between a number and the plural that it counts: "two long narrow bend lines"."""
_SINGULAR_S: Final = ("ss", "us", "is", "'s", "ous")


def is_flowing(tokens: Sequence[Token]) -> bool:
    """Tell whether a text is long and has hardly a stop in it."""
    stops = sum(any(c in ".,;?!" for c in token.post) for token in tokens)
    return len(tokens) >= _LEAST_TOKENS and stops < _MOST_STOPS * len(tokens)


def plural_ahead(tokens: Sequence[Token], end: int) -> bool:
    """Tell whether a plural noun follows that a number could count: "16 rivets", "two long bend lines".

    Args:
        tokens: All tokens.
        end: The token after the number.
    """
    for token in tokens[end : end + _REACH]:
        text = token.text
        if token.kind == NUMERAL or text in g.SMALL or text in _NO_NOUN:
            return False
        if text in g.PLURALS:
            return True
        if len(text) > 3 and text.endswith("s") and not text.endswith(_SINGULAR_S):
            return True
    return False


_NO_NOUN: Final = (g.FOLLOW | g.COPULA | g.CLAUSE) - frozenset({"flat", "round", "square", "light"})
"""Words with which a noun phrase cannot go on."""
