"""The map as a picture that any reader of SVG can show."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from benchscribe.cut.picture import cut_picture
from benchscribe.records import CutPiece

SVG = "{http://www.w3.org/2000/svg}"
PIECES = (
    CutPiece(
        cut_from_s=0,
        cut_to_s=30,
        take_from_s=70,
        take_to_s=100,
        file="<take> & 2.mp4",
        at_s=10,
        confidence=0.9,
        moved=True,
    ),
    CutPiece(cut_from_s=30, cut_to_s=40, confidence=1.0),
    CutPiece(
        cut_from_s=40, cut_to_s=90, take_from_s=5, take_to_s=55, file="take-1.mp4", at_s=5, confidence=1.0
    ),
)


def drawn() -> ET.Element:
    return ET.fromstring(cut_picture(PIECES))  # noqa: S314 - our own


def test_each_piece_of_a_take_is_a_band_that_says_its_times() -> None:
    titles = [band.findtext(f"{SVG}title") for band in drawn().iter(f"{SVG}polygon")]
    assert titles == [
        "<take> & 2.mp4 0:10 is 0:00 of the cut (by words, 90% of the words agree)",
        "take-1.mp4 0:05 is 0:40 of the cut (by words, 100% of the words agree)",
    ]


def test_the_picture_describes_itself() -> None:
    assert drawn().findtext(f"{SVG}desc") == "3 pieces, 1 moved, 1 in no take"


def test_everything_lies_inside_the_picture() -> None:
    picture = drawn()
    _, _, wide, high = (float(n) for n in picture.attrib["viewBox"].split())
    for band in picture.iter(f"{SVG}polygon"):
        for point in band.attrib["points"].split():
            x, y = (float(n) for n in point.split(","))
            assert 0 <= x <= wide
            assert 0 <= y <= high


def test_an_insert_is_a_bar_and_no_band() -> None:
    titles = [
        bar.findtext(f"{SVG}title")
        for bar in drawn().iter(f"{SVG}rect")
        if bar.find(f"{SVG}title") is not None
    ]
    assert titles == ["takes", "insert, 0:30 of the cut"]


def test_without_pieces_there_is_no_picture() -> None:
    assert cut_picture(()) == ""
