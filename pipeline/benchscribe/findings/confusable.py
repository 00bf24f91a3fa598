"""How a size that was said compares with one that is listed: as the same, as like it, as easily said for it."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchscribe.records import Listed, Measure, Part
from benchscribe.spoken.plan import is_angle, plain, size_of

_CLOSE: Final = Fraction(1, 8)
"""A slip is mostly no further from the listed size than an eighth of it."""
_TEENS: Final = 10
_UNDER: Final = 20


def confusable(measure: Measure, listed: Listed) -> bool:
    """Tell whether a size may be a slip of the tongue for a listed one.

    It is close to it; or has the same digits in another order (124 for 142), one digit another (186 for 196), or -teen for -ty (15 for
    50); or the same fraction after another whole number, or another fraction after the same (2 5/8 for 2 3/8).

    >>> from benchscribe.records import Measure
    >>> said = Measure(value=Fraction(124), unit="mm", words="124", span=(0, 1))
    >>> confusable(said, Listed(dimension="width", value=Fraction(142), unit="mm", text="142"))
    True
    """
    if listed.value is None or (measure.unit == "degree") != (listed.unit == "degree"):
        return False
    said, wanted = size_of(measure), plain(listed.value, listed.unit)
    if said == wanted or not wanted:
        return False
    if abs(said - wanted) <= _CLOSE * wanted:
        return True
    if measure.unit != listed.unit:
        return False
    return _like_digits(measure.value, listed.value) or _like_fraction(measure.value, listed.value)


def _like_digits(one: Fraction, other: Fraction) -> bool:
    if one.denominator != 1 or other.denominator != 1:
        return False
    a, b = str(one.numerator), str(other.numerator)
    if len(a) == len(b) and len(a) > 1:
        return sorted(a) == sorted(b) or sum(x != y for x, y in zip(a, b, strict=True)) == 1
    small, large = sorted((int(one), int(other)))
    return _TEENS < small < _UNDER and large == (small - _TEENS) * 10


def _like_fraction(one: Fraction, other: Fraction) -> bool:
    whole_a, rest_a = divmod(one, 1)
    whole_b, rest_b = divmod(other, 1)
    if whole_a and whole_a == whole_b:
        return True
    return bool(rest_a) and rest_a == rest_b and abs(whole_a - whole_b) == 1 and min(whole_a, whole_b) > 1


def in_proportion(measure: Measure, blank: Listed, part: Part) -> bool:
    """Tell whether a size can be the open one: a length is no less than the width, a thickness no more."""
    others = {
        e.dimension: plain(e.value, e.unit)
        for e in part.listed
        if e.value is not None and not e.feature and not is_angle(e.unit)
    }
    said = size_of(measure)
    if blank.dimension == "length":
        return said >= max((others[d] for d in ("width", "diameter") if d in others), default=Fraction(0))
    if blank.dimension == "thickness":
        return said <= min((others[d] for d in ("width", "length") if d in others), default=said)
    return True


def equals(measure: Measure, entry: Listed) -> bool:
    """Tell whether a size is the listed one."""
    return (
        entry.value is not None
        and is_angle(entry.unit) == is_angle(measure.unit)
        and plain(entry.value, entry.unit) == size_of(measure)
    )


def like(measure: Measure, entry: Listed, within: tuple[Fraction, Fraction]) -> bool:
    """Tell whether a size is so many times a listed one, from the least to the most."""
    wanted = plain(entry.value, entry.unit) if entry.value is not None else Fraction(0)
    return bool(wanted) and within[0] <= size_of(measure) / wanted <= within[1]
