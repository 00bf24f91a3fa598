"""The map between a cut and its takes as a picture: the takes above, the cut below, a band for each piece between them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.sax.saxutils import escape

from benchscribe.clock import clock
from benchscribe.records import CutPiece

_WIDE: Final = 1000
_MARGIN: Final = 10
_TAKES_Y, _CUT_Y, _HIGH = 40, 190, 22
_MOVED, _STRAIGHT, _INSERT, _UNUSED = "#b5651d", "#2f6f8f", "#9a9a9a", "#e4e0d8"
_KEY_Y: Final = 245


def cut_picture(pieces: Sequence[CutPiece]) -> str:
    """Draw which stretch of which take is where in the cut, as SVG; empty where there are no pieces.

    Moved passages and inserts differ in colour and are named in the key, so that nothing depends on colour alone: each band has a
    title with its times, and inserts have no band.
    """
    if not pieces:
        return ""
    takes_end = max((p.take_to_s or 0.0 for p in pieces), default=0.0)
    scale = (_WIDE - 2 * _MARGIN) / max(takes_end, *(p.cut_to_s for p in pieces), 1.0)
    inserts = sum(p.file is None for p in pieces)
    moved = sum(p.moved for p in pieces)
    about = f"{len(pieces)} pieces, {moved} moved, {inserts} in no take"
    body = [_bar(0.0, takes_end, _TAKES_Y, _UNUSED, scale, "takes"), *_names(pieces, scale)]
    body += [_band(piece, scale) for piece in pieces if piece.file is not None]
    body += [
        _bar(p.cut_from_s, p.cut_to_s, _CUT_Y, _INSERT, scale, f"insert, {clock(p.cut_from_s)} of the cut")
        for p in pieces
        if p.file is None
    ]
    body.append(f'<text x="{_MARGIN}" y="{_CUT_Y + _HIGH + 14}">the cut</text>')
    for n, (colour, text) in enumerate(
        ((_STRAIGHT, "in order"), (_MOVED, "moved"), (_INSERT, "in no take"), (_UNUSED, "not in the cut"))
    ):
        x = _MARGIN + n * 150
        body.append(f'<rect x="{x}" y="{_KEY_Y - 10}" width="12" height="12" fill="{colour}"/>')
        body.append(f'<text x="{x + 18}" y="{_KEY_Y}">{text}</text>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_KEY_Y + 15}" role="img" font-family="sans-serif" font-size="12">'
        f"<title>Takes and cut</title><desc>{about}</desc>\n" + "\n".join(body) + "\n</svg>\n"
    )


def _names(pieces: Sequence[CutPiece], scale: float) -> list[str]:
    """Name each take where it begins."""
    begins: dict[str, float] = {}
    for p in pieces:
        if p.file is not None and p.take_from_s is not None and p.at_s is not None:
            begins.setdefault(p.file, p.take_from_s - p.at_s)
    return [
        f'<text x="{_x(begin, scale):.1f}" y="{_TAKES_Y - 8}">{escape(name)}</text>'
        f'<line x1="{_x(begin, scale):.1f}" x2="{_x(begin, scale):.1f}" y1="{_TAKES_Y - 5}" y2="{_TAKES_Y + _HIGH}" stroke="#444"/>'
        for name, begin in begins.items()
    ]


def _band(piece: CutPiece, scale: float) -> str:
    take_from, take_to = piece.take_from_s or 0.0, piece.take_to_s or 0.0
    a, b = _x(take_from, scale), _x(max(take_to, take_from), scale)
    c, d = _x(piece.cut_to_s, scale), _x(piece.cut_from_s, scale)
    points = f"{a:.1f},{_TAKES_Y} {b:.1f},{_TAKES_Y} {b:.1f},{_TAKES_Y + _HIGH} {c:.1f},{_CUT_Y} {c:.1f},{_CUT_Y + _HIGH} {d:.1f},{_CUT_Y + _HIGH} {d:.1f},{_CUT_Y} {a:.1f},{_TAKES_Y + _HIGH}"
    how = (
        "the same sound"
        if piece.by == "sound"
        else f"by {piece.by}, {piece.confidence:.0%} of the words agree"
    )
    title = f"{escape(piece.file or '')} {clock(piece.at_s or 0.0)} is {clock(piece.cut_from_s)} of the cut ({how})"
    colour = _MOVED if piece.moved else _STRAIGHT
    return f'<polygon points="{points}" fill="{colour}" fill-opacity="0.55" stroke="{colour}"><title>{title}</title></polygon>'


def _bar(begin: float, end: float, y: int, colour: str, scale: float, title: str) -> str:
    return (
        f'<rect x="{_x(begin, scale):.1f}" y="{y}" width="{max((end - begin) * scale, 0.5):.1f}" height="{_HIGH}" fill="{colour}">'
        f"<title>{title}</title></rect>"
    )


def _x(seconds: float, scale: float) -> float:
    return _MARGIN + max(seconds, 0.0) * scale
