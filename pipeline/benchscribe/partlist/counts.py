"""How many pieces a count cell asks for."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from benchscribe.partlist.headings import words
from benchscribe.partlist.numbers import plain

_WORD_COUNTS: Final = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11,
    "twelve": 12, "pair": 2, "a pair": 2, "single": 1, "dozen": 12, "a dozen": 12, "half dozen": 6, "half a dozen": 6, "couple": 2,
}  # fmt: skip
_NUMBER: Final = r"\d+|" + "|".join(
    w for w in _WORD_COUNTS if " " not in w and w not in ("pair", "single", "dozen", "couple")
)
_SPARE: Final = re.compile(r"\s*(?:\+|plus|and|&)\s*\d+\s*(?:spares?|extra)\b.*")
_HAND: Final = r"(?:l\.?h\.?|r\.?h\.?|left|right|lefts|rights|l|r)"
_BESIDE: Final = frozenset(
    "x off no nos ea each pcs pc piece pieces reqd req required of in all total set sets and l r lh rh left right hand handed mirrored mirror opposite on the fold per a an "
    "only matched matching alike from cut main lining pattern panel board sheet long short top bottom front back spare one two pair pairs".split()
)
"""Words that change nothing about a count."""


@lru_cache(maxsize=4096)
def read_count(text: str) -> tuple[int | None, str]:
    """Read a count: `4`, `2 off`, `pair`, `set of 4`, `1 L, 1 R`, `2 + 2`, `3 pr`, `2 (1L 1R)`, `1 on fold`, `24 + 6 spare`, `5 per side`.

    Returns:
        The count, or None; and a note, empty where all is clear or the cell is blank.
    """
    clean = plain(text).strip(" .?")
    clean = re.sub(r"(?<=\d)\.0+(?!\d)", "", clean)
    if not clean or clean in words()["none"] or not re.search(r"[a-z\d]", clean):
        return None, ""
    if clean in words()["to_come"] or clean in words()["ditto"]:
        return None, "" if clean in words()["to_come"] else "a ditto mark with nothing above it"
    if clean in _WORD_COUNTS:
        return _WORD_COUNTS[clean], ""
    if (spare := _SPARE.sub("", clean)) != clean and spare:
        return read_count(spare)[0], "the spare ones are not counted"
    if (count := _worked_out(clean)) is not None:
        return count, ""
    if sides := re.fullmatch(
        rf"({_NUMBER})\s*(?:x\s*)?(?:off\s*)?(?:per|each|a|on each|to a|for each|either|on either)\s+(side|end|face)\b(?:\s*\((\d+)\))?.*",
        clean,
    ):
        total = int(sides[3]) if sides[3] else 2 * _small(sides[1])
        return total, "" if sides[3] else f"{sides[1]} per {sides[2]}, taken as two {sides[2]}s"
    if lead := re.match(
        rf"(?:set of |sets? of |x\s*|qty\s*|about )?({_NUMBER})(?![\w./°'-])\s*(.*)$|({_NUMBER})(x|off|pcs?|ea|no)\b\.?\s*(.*)$",
        clean,
    ):
        number, rest = (lead[1], lead[2]) if lead[1] else (lead[3], lead[5])
        beside = [
            w
            for w in re.findall(r"[a-z]{2,}|\d+", re.sub(r"\([^)]*\)", " ", rest).replace("'", ""))
            if w not in _BESIDE
        ]
        return _small(
            number
        ), f"only the number was taken; {' '.join(beside)!r} was passed over" if beside else ""
    return None, "the count could not be read"


def _worked_out(clean: str) -> int | None:
    """Work out a count that is a sum or a product: "2 pairs", "1 L, 1 R", "2 + 2", "2 x 3", "1 set of 4"."""
    if pairs := re.fullmatch(
        r"(\d+|one|two|three|four|five|six)?\s*(?:pairs?|prs?|pr)\.?(?:\s+of)?(?:\s*\(.*\))?", clean
    ):
        return 2 * _small(pairs[1] or "1")
    if sets := re.fullmatch(
        r"(\d+|one|two|three|four)?\s*(?:sets?|bundles?|packs?)\s+of\s+(\d+|two|three|four|five|six|eight|ten|twelve)",
        clean,
    ):
        return _small(sets[1] or "1") * _small(sets[2])
    sides = re.findall(rf"(\d+)\s*(?:x\s*)?{_HAND}\b", clean)
    if len(sides) > 1 and not re.match(r"\d+\s*(?:\(|:)", clean):
        return sum(map(int, sides))
    if sums := re.fullmatch(r"(\d+)((?:\s*(?:\+|plus|and|&)\s*\d+)+)", clean):
        return int(sums[1]) + sum(map(int, re.findall(r"\d+", sums[2])))
    if product := re.fullmatch(r"(\d+)\s*[x*]\s*(\d+)", clean):
        return int(product[1]) * int(product[2])
    return None


def _small(text: str) -> int:
    return _WORD_COUNTS.get(text) or int(text)
