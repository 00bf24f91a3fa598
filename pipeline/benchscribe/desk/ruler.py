"""Both sizes of a finding on one rule: what was said above, what is listed below."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final
from xml.sax.saxutils import escape

from benchscribe.records import Said
from benchscribe.units import convert, is_length
from benchscribe.writers.sizes import said_size

_WIDE: Final = 560
_EDGE: Final = 46
_TOP, _BOTTOM = 44, 86
_INCH_STEPS: Final = tuple(Fraction(n) for n in "1/64 1/32 1/16 1/8 1/4 1/2 1 2 4 6 12 24".split())
_MM_STEPS: Final = tuple(Fraction(n) for n in "0.1 0.5 1 2 5 10 20 50 100 200 500 1000".split())
_MOST_TICKS: Final = 44
_MOST_FIGURES: Final = 7


def ruler(said: Said | None, listed: Said | None, word: str = "listed") -> str:
    """Draw the two sizes as SVG; empty where there are not two lengths, or where they are the same."""
    if said is None or listed is None or not (is_length(said.unit) and is_length(listed.unit)):
        return ""
    metric = listed.unit in ("mm", "cm", "m")
    unit = "mm" if metric else "inch"
    a, b = convert(said.value, said.unit, unit), convert(listed.value, listed.unit, unit)
    if a == b:
        return ""
    low, high = min(a, b), max(a, b)
    room = max((high - low) * Fraction(4, 5), Fraction(1, 8) if not metric else Fraction(3))
    begin, end = max(low - room, Fraction(0)), high + room
    steps = _MM_STEPS if metric else _INCH_STEPS
    step = next((s for s in steps if (end - begin) / s <= _MOST_TICKS), steps[-1])
    # Every so many ticks one has its figure, as on a rule; halfway between two stands a longer tick.
    figured = next((s for s in steps if (end - begin) / s <= _MOST_FIGURES and s % step == 0), steps[-1])
    scale = (_WIDE - 2 * _EDGE) / float(end - begin)
    body = [f'<rect class="rule" x="8" y="{_TOP}" width="{_WIDE - 16}" height="{_BOTTOM - _TOP}" rx="3"/>']
    tick = Fraction(math.ceil(begin / step)) * step
    while tick <= end:
        x = _EDGE + float(tick - begin) * scale
        tall = 24 if tick % figured == 0 else 16 if tick % (figured / 2) == 0 else 9
        body.append(f'<path class="tick" d="M{x:.1f} {_TOP}v{tall}"/>')
        if tall == 24:
            body.append(
                f'<text class="figure" x="{x:.1f}" y="{_BOTTOM - 5}" text-anchor="middle">{_figure(tick)}</text>'
            )
        tick += step
    for value, one, kind in ((a, said, "said"), (b, listed, "listed")):
        x = _EDGE + float(value - begin) * scale
        up = kind == "said"
        tip, base = (_TOP, _TOP - 12) if up else (_BOTTOM, _BOTTOM + 12)
        body.append(f'<path class="point {kind}" d="M{x:.1f} {tip}L{x - 8:.1f} {base}h16z"/>')
        anchor = "start" if x < 130 else "end" if x > _WIDE - 130 else "middle"
        y = _TOP - 18 if up else _BOTTOM + 30
        body.append(
            f'<text class="{kind}" x="{x:.1f}" y="{y}" text-anchor="{anchor}">{kind if up else word} {escape(said_size(one))}</text>'
        )
    about = f"A rule: said {said_size(said)}, {word} {said_size(listed)}"
    return (
        f'<svg class="ruler" viewBox="0 0 {_WIDE} {_BOTTOM + 40}" role="img" aria-label="{escape(about, {chr(34): "&quot;"})}">'
        + "".join(body)
        + "</svg>"
    )


def _figure(value: Fraction) -> str:
    """Write a figure as it stands on a rule: 1 1/2, 37, 12.5."""
    whole, part = divmod(value, 1)
    if not part:
        return str(whole)
    if part.denominator & (part.denominator - 1):
        return f"{float(value):g}"
    return f"{whole} {part}" if whole else str(part)
