"""Reads what the maker types in answer to a finding: another size, another part, another dimension."""

from __future__ import annotations

import difflib
from fractions import Fraction
from typing import Literal, get_args

from benchscribe.errors import BuildError
from benchscribe.measures import Reading, read, read_size
from benchscribe.records import Dimension, Finding, PartList
from benchscribe.units import ANGLE


def typed_value(
    text: str, finding: Finding, units: Literal["inch", "mm"], *, where: str = ""
) -> tuple[Fraction, str]:
    """Read the size of an amended finding: one size, of the same kind as the one that it stands in for.

    Args:
        text: As typed, in any form that the reader of sizes knows.
        finding: The finding that it answers.
        units: What a size without a unit means.
        where: Name of the option or field, for the message.

    Raises:
        BuildError: No size, several, one below nothing, or an angle where a length is wanted.
    """
    other = finding.spoken or finding.listed
    if other is not None and other.unit == "count":
        return _pieces(text, where), "count"
    reading = _one_size(text, units)
    if reading is None or text.strip().startswith(("-", "−")):
        raise BuildError(
            f'"{text}" is not one size', where=where, todo="Write it like 2 5/8, 2 5/8 in or 66.5 mm."
        )
    value, unit = reading.value, reading.unit
    angle = other is not None and other.unit == ANGLE
    if angle and unit != ANGLE and not reading.unit_said:
        unit = ANGLE  # "22.5" in answer to an angle
    if other is not None and (unit == ANGLE) != angle:
        what = ("a length", "an angle") if angle else ("an angle", "a length")
        raise BuildError(f'"{text}" is {what[0]}, and this finding is about {what[1]}', where=where)
    return value, unit


def _pieces(text: str, where: str) -> Fraction:
    """Read a number of pieces, in figures or in words."""
    found = () if text.strip().startswith(("-", "−")) else read_size(text, units="inch")
    if len(found) == 1 and not found[0].unit_said and found[0].value > 0 and found[0].value.denominator == 1:
        return found[0].value
    raise BuildError(
        f'"{text}" is not a number of pieces', where=where, todo="Write it like 4 or four, without a unit."
    )


def _one_size(text: str, units: Literal["inch", "mm"]) -> Reading | None:
    """Read a cell first, where bare numbers are sizes, then as talk ("thirteen sixteenths")."""
    cell = read_size(text, units=units)
    if len(cell) == 1:
        return cell[0]
    said = [m for m in read(text, units=units).measures if not m.taken_back]
    return said[0] if len(said) == 1 else None


def typed_part(name: str, part_list: PartList | None, *, where: str = "") -> str:
    """Give a part as the list spells it.

    Raises:
        BuildError: The list has no such part.
    """
    names = [p.name for p in part_list.parts] if part_list else []
    spelled = [n for n in names if n.casefold() == name.strip().casefold()]
    if names and not spelled:
        close = difflib.get_close_matches(name, names, n=1)
        raise BuildError(
            f'there is no part "{name}" in the list',
            where=where,
            todo=f'Did you mean "{close[0]}"?' if close else "`benchscribe check` lists the parts.",
        )
    return spelled[0] if spelled else name.strip()


def typed_dimension(name: str, *, where: str = "") -> str:
    """Check the name of a dimension.

    Raises:
        BuildError: There is no such dimension.
    """
    if name not in get_args(Dimension):
        raise BuildError(
            f'"{name}" is no dimension', where=where, todo=f"Use one of: {', '.join(get_args(Dimension))}."
        )
    return name
