"""Words into pieces: numerals, glyphs, marks and lower-case words, each knowing its word, its characters and how it is joined."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from benchscribe.measures.grammar import EN_DASH, FILLERS, GLYPHS, SAME, SMALL_DIGITS, WHOLE_WORDS

NUMERAL: Final = "n"
GLYPH: Final = "g"
WORD: Final = "w"
MARK: Final = "s"

_PIECE: Final = re.compile(
    r"(?P<n>\d{1,3}(?:,\d{3})+(?![\d])|\d*\.\d+|\d+,\d{1,2}(?![\d,])|[⁰¹²³⁴⁵⁶⁷⁸⁹]+|[₀-₉]+|\d+)"
    r"|(?P<g>[¼½¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚])"
    r"|(?P<w>'s(?!\w)|[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<s>.)",
    re.DOTALL,
)
_PLAIN_DIGITS: Final = str.maketrans(SMALL_DIGITS, "01234567890123456789")
_OPENERS: Final = frozenset("([{<")
_TRAILERS: Final = frozenset(".,;:!?)]}>…")
_JOINERS: Final = frozenset("-\u2013\u2014")
_WORD_MARKS: Final = MappingProxyType({"&": "and", "@": "at"})
_GROUPED: Final = re.compile(r"[\d,]+,\d{3}")
OPEN_POST: Final = ("", "~")
"""After these a number may go on; "~" is a comma that only held a filler."""


Piece = tuple[str, str, Fraction | None, str, str, bool, int, int, bool]


class Token:
    """One piece of a word.

    Attributes:
        kind: NUMERAL, GLYPH, WORD or MARK.
        text: Lower case, marks made alike.
        value: Exact value of a numeral or glyph.
        pre: How it is joined to the piece before: " " (a new word), "" (directly), "-" or an en dash.
        post: Punctuation after it.
        opened: A bracket opens before it.
        word: Index of its word.
        start, end: Characters.
        offset: Place within its word.
        capital: A word that was written with a capital first.
    """

    __slots__ = (
        "capital",
        "end",
        "kind",
        "offset",
        "opened",
        "post",
        "pre",
        "start",
        "text",
        "value",
        "word",
    )

    def __init__(self, piece: Piece, word: int, at: int) -> None:
        """Place a piece at a word."""
        self.kind, self.text, self.value, self.pre, self.post, self.opened, start, end, self.capital = piece
        self.word = word
        self.offset = start
        self.start = at + start
        self.end = at + end


def lex(words: Sequence[str]) -> list[Token]:
    """Cut words into tokens; fillers ("uh", "um") are left out and count as no break.

    Args:
        words: Whitespace-split words; characters count as if they were joined by single spaces.
    """
    known: dict[str, tuple[Piece, ...]] = {}
    tokens: list[Token] = []
    at = 0
    for index, word in enumerate(words):
        pieces = known.get(word)
        if pieces is None:
            pieces = known[word] = _pieces(word)
        if len(pieces) == 1 and pieces[0][1] in FILLERS:
            if tokens and tokens[-1].post == "," and pieces[0][4] in ("", ",", "..."):
                tokens[-1].post = "~"
        else:
            tokens.extend(Token(piece, index, at) for piece in pieces)
        at += len(word) + 1
    return tokens


def _pieces(word: str) -> tuple[Piece, ...]:
    """Cut one word; the same word is cut once for a whole text."""
    text = word.translate(SAME).lower()
    cutter = _Cutter(text, word)
    for match in _PIECE.finditer(text):
        cutter.take(match.lastgroup or MARK, match.group(), match.start(), match.end())
    return tuple(cutter.out)


class _Cutter:
    """Takes the matches of one word in order, and keeps how each is joined to the one before."""

    def __init__(self, text: str, word: str) -> None:
        self.out: list[Piece] = []
        self._text, self._word = text, word
        self._pre, self._opened = " ", False

    def take(self, kind: str, body: str, start: int, end: int) -> None:
        if kind == MARK and self._is_punctuation(body, end):
            return
        if kind == NUMERAL:
            self._numeral(body, start, end)
        elif kind == GLYPH:
            self._add(kind, body, GLYPHS[body], start, end)
        elif body in _WORD_MARKS:
            self._add(WORD, _WORD_MARKS[body], None, start, end)
        elif body.endswith("'s") and len(body) > 2 and body not in WHOLE_WORDS:
            self._add(kind, body[:-2], None, start, end - 2)
            self._add(kind, "'s", None, end - 2, end)
        else:
            self._add(kind, body, None, start, end)

    def _add(self, kind: str, body: str, value: Fraction | None, start: int, end: int) -> None:
        capital = self._word[start : start + 1].isupper()
        self.out.append((kind, body, value, self._pre, "", self._opened, start, end, capital))
        self._pre, self._opened = "", False

    def _numeral(self, body: str, start: int, end: int) -> None:
        if body[0] in SMALL_DIGITS:
            if self.out and self.out[-1][0] == NUMERAL:
                self._pre = " "
            body = body.translate(_PLAIN_DIGITS)
        if "," in body and not _GROUPED.fullmatch(body):
            body = body.replace(",", ".")  # a decimal comma
        self._add(NUMERAL, body, Fraction(body.replace(",", "")), start, end)

    def _is_punctuation(self, body: str, end: int) -> bool:
        """Keep a mark that is punctuation where it belongs, and tell so."""
        last = self.out[-1] if self.out else None
        if body in _OPENERS:
            self._opened = True
        elif body in _JOINERS and (last or end < len(self._text)):
            joiner = "-" if body == "-" else EN_DASH
            self._pre = joiner if last else " -"
        elif body in _TRAILERS and last and not (body == ":" and end < len(self._text)):
            self.out[-1] = (*last[:4], last[4] + body, *last[5:])
        elif body in "'\"":
            return self._is_quotation(body, last, end)
        else:
            return False
        return True

    def _is_quotation(self, body: str, last: Piece | None, end: int) -> bool:
        """Tell quotation marks from feet and inches; two single marks are inches."""
        if last is None or last[4] or last[0] == WORD:
            return True
        if body == "'" and last[1] == "'" and not self._pre:
            self.out[-1] = (last[0], '"', *last[2:7], end, last[8])
            return True
        return False
