"""The cut list: every part's size, and where each value comes from. This is where the publish gate stands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from benchscribe.records import PUBLISHED, CutRow, CutSize, Finding, Listed, Part, PartList, Said
from benchscribe.units import same

_SAID_WRONG = frozenset({"slip", "impossible", "contradiction", "derived"})
"""Kinds in which what was said is what is doubtful: accepting one does not make it right."""
Origin = Literal["listed", "said", "measured", "scaled", "worked-out", "changed", "corrected", "blank"]


def make_cut_list(part_list: PartList | None, findings: Sequence[Finding]) -> tuple[CutRow, ...]:
    """Make a row for each part that is made (not bought).

    Args:
        part_list: The plan's parts; None gives no rows.
        findings: A settled correction replaces the listed value; an open one marks it.

    Returns:
        Rows in the list's order. A size against which a finding is open keeps its listed value (or the computed one, where arithmetic
        says which is right) and is marked `check`.
    """
    if part_list is None:
        return ()
    return tuple(_row(part, findings) for part in part_list.parts if not part.hardware)


def _row(part: Part, findings: Sequence[Finding]) -> CutRow:
    mine = [f for f in findings if f.part == part.name and f.status != "dismissed" and f.right is not True]
    sizes = [_size(listed, mine) for listed in part.listed if not listed.feature]
    named = {size.dimension for size in sizes}
    for finding in mine:
        if finding.kind == "supplied" and finding.dimension and finding.dimension not in named:
            sizes.append(_size(Listed(dimension=finding.dimension, value=None, unit="inch", text=""), mine))
            named.add(finding.dimension)
    count, note = part.count, ""
    for finding in mine:
        if finding.kind == "count" and finding.spoken is not None:
            if finding.status in PUBLISHED:
                count, note = int(finding.spoken.value), f"{part.count} in the list"
            else:
                note = "check the count"
    notes = "; ".join(text for text in (part.notes, note) if text)
    return CutRow(
        part=part.name, count=count, material=part.material, sizes=tuple(sizes), sheet=part.sheet, notes=notes
    )


def _size(listed: Listed, findings: Sequence[Finding]) -> CutSize:
    # A sum that went wrong says nothing against a size that the list gives; where the cell is blank, the right sum fills it.
    apart = {"count"} if listed.value is None else {"count", "derived"}
    about = [f for f in findings if f.dimension == listed.dimension and f.kind not in apart]
    settled = next(((f, right) for f in about if f.status in PUBLISHED and (right := _right(f))), None)
    doubtful = [f for f in about if f.status == "open"]
    if settled is not None:
        finding, right = settled
        # A later slip against a value that is settled is still a doubt.
        check = any(f.spoken and not _equal(f.spoken, right) for f in doubtful)
        return CutSize(
            dimension=listed.dimension,
            value=right.value,
            unit=right.unit,
            origin=_origin(finding),
            was=listed.value,
            check=check,
        )
    # What arithmetic gives stands only where the list gives nothing: the list is the plan, and an open doubt does not overrule it.
    computed = next((f.probably_right for f in doubtful if f.probably_right is not None), None)
    if listed.value is None and computed is not None:
        return CutSize(
            dimension=listed.dimension,
            value=computed.value,
            unit=computed.unit,
            origin="worked-out",
            check=True,
        )
    return CutSize(
        dimension=listed.dimension,
        value=listed.value,
        unit=listed.unit,
        origin="listed" if listed.value is not None else "blank",
        check=bool(doubtful),
    )


def _right(finding: Finding) -> Said | None:
    """Give the size that a settled finding puts in the place of the listed one; None where the listed one stands.

    To accept a slip is to say that it was one: the listed size is right, or the one that arithmetic gives. Amended, it is the maker's.
    """
    if finding.status != "amended" and finding.kind in _SAID_WRONG:
        right = finding.probably_right
        same_as_listed = right is not None and finding.listed is not None and _equal(right, finding.listed)
        return None if same_as_listed else right
    return finding.spoken


def _origin(finding: Finding) -> Origin:
    if finding.kind == "plan-wrong":
        return "corrected"
    if finding.kind == "changed":
        return "changed"
    if finding.kind == "supplied":
        return {"measured": "measured", "scaled": "scaled"}.get(finding.supplied_how, "said")  # type: ignore[return-value]
    # The maker's own answer at review, or, where a slip was owned up to, what arithmetic gives.
    return "said" if finding.status == "amended" else "worked-out"


def _equal(one: Said, other: Said) -> bool:
    return same(one.value, one.unit, other.value, other.unit)
