"""Draws what the demo's camera sees: a bench from above with the drawing of the part in hand on it. Lines only, no photograph."""

from __future__ import annotations

from demo_script import Chapter
from PIL import Image, ImageDraw, ImageFont

WIDTH, HEIGHT = 640, 360
PAPER, BENCH, INK, CUT = (246, 241, 228), (176, 137, 94), (40, 44, 52), (178, 58, 42)
Pen = ImageDraw.ImageDraw


def draw_scene(chapter: Chapter) -> Image.Image:
    """Draw the bench for a chapter."""
    picture = Image.new("RGB", (WIDTH, HEIGHT), BENCH)
    pen = ImageDraw.Draw(picture)
    for y in range(0, HEIGHT, 45):
        pen.line((0, y, WIDTH, y + 6), fill=(160, 122, 82), width=2)
    pen.rectangle((60, 30, 580, 330), fill=PAPER, outline=INK, width=2)
    pen.text((76, 40), (chapter.part or "Plan").upper(), fill=INK, font=ImageFont.load_default(20))
    draw = _dado if "mistake" in chapter.about and chapter.part == "Case side" else SCENES.get(chapter.part or "", _plan)
    draw(pen)
    return picture


def _label(pen: Pen, at: tuple[int, int], text: str, colour: tuple[int, int, int] = INK) -> None:
    pen.text(at, text, fill=colour, font=ImageFont.load_default(15))


def _across(pen: Pen, left: int, right: int, y: int, text: str) -> None:
    pen.line((left, y, right, y), fill=INK)
    for x in (left, right):
        pen.line((x, y - 5, x, y + 5), fill=INK)
    pen.text(((left + right) // 2, y + 3), text, fill=INK, font=ImageFont.load_default(15), anchor="ma")


def _plan(pen: Pen) -> None:
    pen.rectangle((230, 70, 410, 306), outline=INK, width=3)
    pen.line((230, 230, 410, 230), fill=INK, width=3)
    pen.line((320, 70, 320, 230), fill=INK)
    for x in (275, 320, 365):
        pen.line((x, 230, x, 306), fill=INK, width=2)
    _label(pen, (430, 120), "two doors")
    _label(pen, (430, 260), "four drawers")


def _side(pen: Pen) -> None:
    pen.rectangle((110, 110, 530, 210), outline=INK, width=3)
    for x in (110, 520):
        pen.rectangle((x, 110, x + 10, 210), fill=(220, 205, 175), outline=INK)
    _across(pen, 110, 530, 235, "31 1/2")
    _label(pen, (120, 280), "rabbet both ends, 1/4 deep")


def _dado(pen: Pen) -> None:
    for y, x, colour in ((80, 230, INK), (190, 400, CUT)):
        pen.rectangle((110, y, 530, y + 70), outline=INK, width=3)
        pen.rectangle((x, y, x + 10, y + 70), fill=colour)
    _across(pen, 110, 230, 160, "9")
    _label(pen, (120, 278), "bottom end on the left, both boards")


def _shelf(pen: Pen) -> None:
    for x in (120, 500):
        pen.rectangle((x, 80, x + 30, 260), outline=INK, width=3)
    pen.rectangle((140, 150, 510, 176), fill=(220, 205, 175), outline=INK, width=2)
    _across(pen, 150, 500, 200, "between the sides")
    _across(pen, 140, 510, 240, "shelf")
    _label(pen, (120, 285), "1/4 into each dado")


def _stile(pen: Pen) -> None:
    pen.rectangle((200, 80, 440, 310), outline=INK, width=3)
    for x in (236, 404):
        pen.line((x, 80, x, 310), fill=INK, width=2)
    for y in (116, 274):
        pen.line((236, y, 404, y), fill=INK, width=2)
    _label(pen, (460, 180), "stile")
    _label(pen, (295, 90), "rail")


def _rail(pen: Pen) -> None:
    pen.rectangle((180, 130, 460, 200), outline=INK, width=3)
    for x in (140, 460):
        pen.rectangle((x, 148, x + 40, 182), fill=(220, 205, 175), outline=INK, width=2)
    _across(pen, 180, 460, 225, "between the stiles")
    _across(pen, 140, 500, 270, "rail")
    _label(pen, (470, 100), "tenon 1 in", CUT)


def _panel(pen: Pen) -> None:
    _stile(pen)
    pen.rectangle((230, 110, 410, 280), outline=CUT, width=3)
    _label(pen, (280, 185), "the panel!", CUT)


SCENES = {"Case side": _side, "Shelf": _shelf, "Door stile": _stile, "Door rail": _rail, "Door panel": _panel}
