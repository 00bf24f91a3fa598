"""Numbers said without "degrees" that are angles."""

from __future__ import annotations

from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import ARTICLES, Context
from benchscribe.measures.quantity import Quantity

_BEFORE: Final = frozenset(
    {"to", "at", "is", "are", "be", "it's", "that's", "was", "about", "of", "old", "really", "the", "than", "a", "s",
     "'s", "call", "say", "minus", "less", "away", "from", "take", "over", "like"}
)  # fmt: skip
_ENDS: Final = frozenset({"ends", "end", "corner", "corners", "mitred"})
_LENGTHS: Final = frozenset({"wide", "long", "thick", "deep", "inch", "inches", "mm"})
_BENDS: Final = frozenset({"bend", "bends", "bent", "crease", "creased"})
_GRINDS: Final = frozenset({"ground", "grind", "reground", "sharpened", "sharpen", "honed", "hone"})
_BEND_ANGLES: Final = (15, 30, 45, 60, 90, 120, 135, 180)
_TAKEN: Final = frozenset({"take", "takes", "took", "less", "minus", "from", "off"})
_RIGHT: Final = frozenset({"ninety", "90"})
_SET_TO: Final = frozenset({"saw", "sled", "gauge", "protractor", "table", "sander", "disc", "head", "bevel"})
_SAW_WORDS: Final = frozenset({"mitre", "mitred", "miter", "mighter", "compound"})
_SAWS: Final = frozenset(
    {"saw", "saws", "box", "boxes", "station", "stand", "shears", "block", "trimmer", "mitre", "miter"}
)
_TURNS: Final = frozenset(
    {"set", "swing", "swung", "turn", "turned", "rotate", "lock", "dial", "over", "round", "tilt"}
)
_PITCH: Final = frozenset({"pitch"})
_SIDES: Final = frozenset({"outside", "inside", "face"})
_TAPERS: Final = frozenset({"taper", "tapers", "tapered", "tapering"})
_LATELY: Final = 60
_STOPS_AT: Final = frozenset({"at", "to", "set", "is", "'s", "s", "was", "now", "clamped", "locked", "moved"})
_STOP_ON: Final = frozenset(
    {
        "on",
        "of",
        "for",
        "the",
        "my",
        "mitre",
        "miter",
        "chop",
        "crosscut",
        "bench",
        "table",
        "saw",
        "sled",
        "gauge",
        "fence",
    }
)
_FIXED: Final = frozenset({"set", "clamped", "locked", "moved"})


def is_angle(context: Context, q: Quantity) -> bool:
    """Tell whether a number without a unit is an angle.

    Args:
        context: The words around and what is known so far.
        q: The number; fractions below one are never angles here.
    """
    number = q.number
    if number is None or number.form == "frac" or not 0 < q.value <= 180 or number.den not in (1, 2, 4):
        return False
    if _forty_five(context, q):
        return True
    if stop_set(context, q) or _is_length(context, q) or not _free(context, q):
        return False
    return (
        _complement(context, q)
        or _right_angle_less(context, q)
        or _said_again(context, q)
        or _bent(context, q)
        or _known_angle(context, q)
        or _beside_angle(context, q)
        or _spoken_of(context, q)
    )


def stop_set(context: Context, q: Quantity) -> bool:
    """Tell whether a stop was set here, as in "stop on the mitre saw set at sixty five": a length, whatever it stands on."""
    words: list[str] = []
    for k in range(1, 12):
        word = context.before(q, k)
        if word in ("stop", "stops"):
            return bool(words) and words[0] in ("at", "to") and not _FIXED.isdisjoint(words)
        if word not in _STOPS_AT and word not in _STOP_ON:
            return False
        words.append(word)
    return False


def _complement(context: Context, q: Quantity) -> bool:
    """As in "take that from ninety and it's fifty five": the rest of a right angle, where the angle has been said."""
    taken = context.near(q, _TAKEN, 12, 0) and context.near(q, _RIGHT, 8, 0)
    return taken and context.before(q) in _BEFORE and context.known.get(90 - q.value) == "degree"


def _right_angle_less(context: Context, q: Quantity) -> bool:
    """As in "90 take away that is 82", soon after an angle."""
    lately = context.last_degree is not None and q.start - context.last_degree < _LATELY
    less = context.after(q) in _TAKEN and context.after(q, 1) in ("that", "it", "away", "the", "this")
    return q.value == 90 and lately and less


def _said_again(context: Context, q: Quantity) -> bool:
    """As in "if you set your saw to 30", "15 on the sled", "thirty is what it adds up to", once those degrees were said."""
    lately = context.last_degree is not None and q.start - context.last_degree < _LATELY
    if not lately or context.known.get(q.value) != "degree":
        return False
    if context.before(q) in ("to", "at", "on") and context.near(q, _SET_TO, 6, 4):
        return True
    if context.after(q) == "on" and context.near(q, _SET_TO, 0, 4):
        return True
    return (
        context.opened(q)
        and context.after(q) in ("is", "was")
        and context.after(q, 1) in ("what", "the", "right", "wrong")
    )


def _bent(context: Context, q: Quantity) -> bool:
    """As in "bend it at 90", "the gouge is ground at sixty"."""
    if context.before(q) == "at" and context.near(q, _GRINDS, 4, 0):
        return 8 <= q.value <= 90
    return context.before(q) in ("at", "to") and context.near(q, _BENDS, 4, 0) and q.value in _BEND_ANGLES


def _spoken_of(context: Context, q: Quantity) -> bool:
    """Tell whether angles are spoken of, and the number stands where one would."""
    if context.near(q, g.NO_ANGLE_NEAR, 8, 5) or context.near(q, _LENGTHS, 2, 3):
        return False
    lately = context.last_degree is not None and q.start - context.last_degree < _LATELY
    if (
        context.near(q, _PITCH, 3, 0)
        and context.last_trade is not None
        and context.last_trade.kind == "thread"
    ):
        return False
    if context.before(q) in ("from", "to") and context.near(q, _TAPERS, 6, 0):
        return False  # "taper from 38 to 26"
    ahead = _before_next_number(context, q)
    spoken = _angle_words(context, q, ahead) or (lately and context.near(q, g.ANGLE_WEAK, 10, ahead))
    return spoken and _shaped(context, q)


def _angle_words(context: Context, q: Quantity, ahead: int) -> bool:
    """Tell whether a word of angles is near; a mitre saw speaks of one only where something is set or turned."""
    tokens, home = context.tokens, context.sentence[q.start]
    turned = context.near(q, _TURNS, 8, 0)
    for i in range(max(0, q.start - 14), min(len(tokens), q.end + ahead)):
        if tokens[i].text not in g.ANGLE_NEAR or context.sentence[i] != home:
            continue
        if i >= q.end and any(context.size_at(k) for k in range(i + 1, i + 8)):
            continue  # "the rest is six, and the bevel's about fourteen degrees": it has its own number
        of_saw = tokens[i].text in _SAW_WORDS and i + 1 < len(tokens) and tokens[i + 1].text in _SAWS
        if turned or not of_saw:
            return True
    return False


def _before_next_number(context: Context, q: Quantity) -> int:
    """Give how far to look ahead: not past the next number, whose own words they are."""
    for k in range(5):
        if context.size_at(q.end + k):
            return k
    return 5


def _free(context: Context, q: Quantity) -> bool:
    after = context.after(q)
    return not after or after in g.FOLLOW or after in g.COPULA


def _forty_five(context: Context, q: Quantity) -> bool:
    """As in "a forty five on each end", "both ends at 45"."""
    if q.value != 45 or not _free(context, q):
        return False
    before = context.before(q)
    if before in ("it", "them", "that") and context.before(q, 2) in g.ANGLE_NEAR:
        return True  # "bevel it forty five"
    if before in ("a", "the") or (before == "at" and context.near(q, _ENDS, 6, 0)):
        return True
    return context.after(q) in ("both", "each") and context.after(q, 1) in _ENDS and context.opened(q)


def _is_length(context: Context, q: Quantity) -> bool:
    after = context.after(q)
    if after in g.ROLE_AFTER and after not in ("each", "outside", "inside"):
        return True
    if context.role_phrase(q) and after not in ("on", "each"):
        return True
    if after == "on" and context.after(q, 1) == "the" and context.after(q, 2) in _SIDES:
        return True
    return after in ("of", "by", "x") or (after == "each" and context.after(q, 1) == "way")


def _known_angle(context: Context, q: Quantity) -> bool:
    """As in "at the same old five", once five degrees have been said."""
    return context.before(q) in ARTICLES and context.known.get(q.value) == "degree" and _free(context, q)


def _beside_angle(context: Context, q: Quantity) -> bool:
    """As in "is a forty five but this corner is more like forty six and a half"."""
    last = context.last
    if (
        last is None
        or last.unit != "degree"
        or not last.value
        or q.start - last.end > 14
        or not _free(context, q)
    ):
        return False
    same = context.sentence[last.start] == context.sentence[q.start]
    return same and abs(q.value - last.value) <= last.value / 5 and context.before(q) in _BEFORE


def _shaped(context: Context, q: Quantity) -> bool:
    if not _free(context, q):
        return False
    if context.before(q) in _BEFORE or context.before(q) in (
        "ninety",
        "90",
        "angle",
        "bevel",
        "tilt",
        "mitre",
        "miter",
    ):
        return True
    return context.after(q) in ("less", "minus", "take", "on")
