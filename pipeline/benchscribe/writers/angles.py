"""Angles given both ways: as the drawing has them, and as the machine's scale shows them, the worked-out one labelled."""

from __future__ import annotations

import math
from fractions import Fraction

from benchscribe.records import Finding
from benchscribe.units import ANGLE
from benchscribe.writers.contexts import AngleView
from benchscribe.writers.sizes import size
from benchscribe.writers.text import plain
from benchscribe.writers.view import View

RIGHT_ANGLE = Fraction(90)
"""A scale that calls a square cut 0 shows 90 less the angle from the face (common practice)."""

_REACH = 70
"""Length of the drawn line, in the units of a drawing of 100 by 90."""


def angles_by_part(view: View) -> dict[str, tuple[AngleView, ...]]:
    """Give, for each part, the angles that were worked out as 90 less the listed one, each once.

    A wrong sum shows what is right by arithmetic, marked while its finding is open.
    """
    found: dict[str, dict[Fraction, AngleView]] = {}
    for finding in view.record.findings:
        drawn = _listed_angle(finding)
        if drawn is not None and finding.part:
            shown = _shown(finding, drawn)
            found.setdefault(plain(finding.part), {}).setdefault(drawn, shown)
    return {part: tuple(views.values()) for part, views in found.items()}


def _listed_angle(finding: Finding) -> Fraction | None:
    """Give the drawing's angle where the finding is of its complement; None for anything else."""
    listed, spoken = finding.listed, finding.spoken
    if finding.kind != "derived" or finding.status == "dismissed" or listed is None or spoken is None:
        return None
    if listed.unit != ANGLE or spoken.unit != ANGLE or not 0 < listed.value < RIGHT_ANGLE:
        return None
    right = finding.probably_right
    complement = RIGHT_ANGLE - listed.value
    is_complement = spoken.value == complement or (right is not None and right.value == complement)
    return listed.value if is_complement else None


def _shown(finding: Finding, drawn: Fraction) -> AngleView:
    turn = math.radians(float(drawn))
    return AngleView(
        drawing=size(drawn, ANGLE),
        machine=size(RIGHT_ANGLE - drawn, ANGLE),
        check=finding.right is not True and finding.status == "open",
        degrees=float(drawn),
        x=round(10 + _REACH * math.cos(turn), 1),
        y=round(80 - _REACH * math.sin(turn), 1),
        arc_x=round(10 + 30 * math.cos(turn), 1),
        arc_y=round(80 - 30 * math.sin(turn), 1),
    )
