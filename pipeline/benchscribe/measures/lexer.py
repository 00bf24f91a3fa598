"""Words into pieces: numerals, glyphs, marks and lower-case words, each knowing its word, its characters and how it is joined."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from benchscribe.measures.grammar import FILLERS, GLYPHS, WHOLE_WORDS

NUMERAL: Final = "n"
GLYPH: Final = "g"
WORD: Final = "w"
MARK: Final = "s"

_SAME: Final = str.maketrans({
    "’": "'", "‘": "'", "′": "'", "ʹ": "'", "“": '"', "”": '"', "″": '"', "⁄": "/", "∕": "/", "×": "x", "✕": "x", "*": "x",
    "–": "–", "—": "—", "−": "-", "‑": "-", "‐": "-", "º": "°", "˚": "°", "∅": "ø", "Ø": "ø", "⌀": "ø", "…": ".",
})  # fmt: skip
_PIECE: Final = re.compile(
    r"(?P<n>\d{1,3}(?:,\d{3})+(?![\d])|\d*\.\d+|\d+,\d{1,2}(?![\d,])|[⁰¹²³⁴⁵⁶⁷⁸⁹]+|[₀-₉]+|\d+)"
    r"|(?P<g>[¼½¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚])"
    r"|(?P<w>'s(?!\w)|[^\W\d_]+(?:'[^\W\d_]+)*)"
    r"|(?P<s>.)",
    re.DOTALL,
)
_SMALL_DIGITS: Final = "⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉"
_PLAIN_DIGITS: Final = str.maketrans(_SMALL_DIGITS, "01234567890123456789")
_OPENERS: Final = frozenset("([{<")
_TRAILERS: Final = frozenset(".,;:!?)]}>…")
_JOINERS: Final = frozenset("-–—")
OPEN_POST: Final = ("", "~")
"""After these a number may go on; "~" is a comma that only held a filler."""


Piece = tuple[str, str, Fraction | None, str, str, bool, int, int, bool]


class Token:
    """One piece of a word.

    Attributes:
        kind: NUMERAL, GLYPH, WORD or MARK.
        text: Lower case, marks made alike.
        value: Exact value of a numeral or glyph.
        pre: How it is joined to the piece before: " " (a new word), "" (directly), "-" or "–".
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
            for piece in pieces:
                tokens.append(Token(piece, index, at))
        at += len(word) + 1
    return tokens


def _pieces(word: str) -> tuple[Piece, ...]:
    text = word.translate(_SAME).lower()
    out: list[list[object]] = []
    pre, opened = " ", False
    for match in _PIECE.finditer(text):
        kind = match.lastgroup or MARK
        body, start, end = match.group(), match.start(), match.end()
        if kind == MARK:
            if body in _OPENERS:
                opened = True
                continue
            if body in _JOINERS and (out or end < len(text)):
                pre = "-" if body == "-" else "–"
                if not out:
                    pre = " -"
                continue
            if body in _TRAILERS or body in "'\"":
                if body in _TRAILERS and out and not (body == ":" and end < len(text)):
                    out[-1][4] = str(out[-1][4]) + body
                    continue
                if body in "'\"" and (not out or out[-1][4] or out[-1][0] == WORD):
                    continue  # a quotation mark, not feet or inches
        value: Fraction | None = None
        if kind == NUMERAL:
            if body[0] in _SMALL_DIGITS:
                pre = " " if out and out[-1][0] == NUMERAL else pre
                body = body.translate(_PLAIN_DIGITS)
            if "," in body and not re.fullmatch(r"[\d,]+,\d{3}", body):
                body = body.replace(",", ".")  # a decimal comma
            value = Fraction(body.replace(",", ""))
        elif kind == GLYPH:
            value = GLYPHS[body]
        if body == "&":
            kind, body = WORD, "and"
        elif body == "@":
            kind, body = WORD, "at"
        elif body == "'" and out and out[-1][1] == "'" and not pre:
            out[-1][1], out[-1][7] = '"', end
            continue
        if kind == WORD and body.endswith("'s") and len(body) > 2 and body not in WHOLE_WORDS:
            out.append([kind, body[:-2], value, pre, "", opened, start, end - 2])
            body, pre, start = "'s", "", end - 2
        out.append([kind, body, value, pre, "", opened, start, end])
        pre, opened = "", False
    return tuple((*p, word[p[6] : p[6] + 1].isupper()) for p in out)  # type: ignore[misc]
