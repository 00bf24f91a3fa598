"""Episodes that are odd in one way each, as files: what a maker could bring, from one word to four hours."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct

PARTS = """part,qty,thickness,width,length,material,sheet
Side panel,2,3/4,7 1/4,30 1/2,pine,1
Shelf,3,3/4,7,22 1/2,pine,1
Drawer front,4,5/8,2 5/8,6 7/8,cherry,2
"""

TALK = (
    "Morning, this is the seed cabinet and today it's the sides and the shelves.",
    "The side panels are three quarters thick and I rip them to seven and a quarter inches on the table saw.",
    "Keep a push stick handy and stand to one side of the blade.",
    "Then they get crosscut to thirty and a half inches on the miter saw.",
    "The plan says the shelf is twenty two and a half, and that's wrong, it wants to be twenty two and three quarters.",
    "Oh no, I've cut that one on the wrong face, so that's firewood and I make another.",
    "The drawer fronts are two and five eighths by six and seven eighths, out of cherry.",
    "I sand it all to two twenty grit and wipe it down with a rag of oil.",
    "And next week we'll hang the doors.",
)


class Odd(Struct, frozen=True):
    """One episode: its transcript, the ending of that file, and its part list where there is one."""

    transcript: str
    ending: str = "vtt"
    parts: str | None = PARTS


def captions(sentences: Sequence[str], *, each_s: float = 7.0) -> str:
    """Write sentences as WebVTT, one caption each."""
    blocks = ["WEBVTT"]
    for number, sentence in enumerate(sentences):
        start, end = (number * each_s + 0.5, (number + 1) * each_s - 0.4)
        blocks.append(f"{_time(start)} --> {_time(end)}\n{sentence}")
    return "\n\n".join(blocks) + "\n"


def _time(seconds: float) -> str:
    whole = round(seconds * 1000)
    return f"{whole // 3_600_000:02}:{whole // 60_000 % 60:02}:{whole // 1000 % 60:02}.{whole % 1000:03}"


def _swapped(names: dict[str, str]) -> Odd:
    talk, parts = "\n".join(TALK), PARTS
    for old, new in names.items():
        talk, parts = talk.replace(old.lower(), new), parts.replace(old, new)
    return Odd(captions(talk.split("\n")), parts=parts)


def four_hours() -> str:
    """Give a talk of four hours: the same bench, day after day, with other sizes and other words between."""
    said = []
    for round_number in range(230):
        inches = 5 + round_number % 40
        said += [
            *TALK[:-1],
            f"This one comes to {inches} and three eighths by {inches + 3} and a quarter inches, near enough.",
            f"That was number {round_number} and I walk over to the band saw and back to the bench again.",
        ]
    return captions([*said, TALK[-1]], each_s=6.26)


def _three_hundred() -> Odd:
    rows = [
        f"Rib {number},1,1/2,{2 + number % 5} 1/4,{10 + number % 30} 1/8,ash,{1 + number // 40}"
        for number in range(1, 301)
    ]
    talk = [
        f"Rib {number} is {10 + number % 30} and an eighth inches long and I cut it on the band saw."
        for number in range(1, 90, 2)
    ]
    return Odd(
        captions(talk), parts="part,qty,thickness,width,length,material,sheet\n" + "\n".join(rows) + "\n"
    )


def odd_episodes() -> dict[str, Odd]:
    """Give them by name."""
    plain = captions(TALK)
    return {
        "no parts": Odd(plain, parts=None),
        "no sizes": Odd(
            captions(
                [
                    "We clean the bench.",
                    "Then I sweep the floor.",
                    "The stove gets lit.",
                    "That is all for today.",
                ]
            )
        ),
        "one word": Odd(captions(["Hello."])),
        "four hours": Odd(four_hours()),
        "right to left": _swapped(
            {"Side panel": "\u05d3\u05d5\u05e4\u05df \u05e6\u05d3", "Shelf": "\u0631\u0641"}
        ),
        "emoji": _swapped(
            {"Side panel": "\U0001f331 panel \U0001f4e6", "Shelf": "shelf \U0001f468\u200d\U0001f33e"}
        ),
        "only hardware": Odd(
            captions(
                [
                    "I put in eight of the number eight screws.",
                    "Then four hinges and a magnet.",
                    "And that's it done, see you next week.",
                ]
            ),
            parts="part,qty,notes\nScrew #8 x 1 1/4,16,\nHinge,4,brass\nMagnet,2,\n",
        ),
        "notes without times": Odd("\n".join(TALK) + "\n", "md"),
        "notes with headings": Odd(
            f"# Sides\n\n{TALK[1]} {TALK[3]}\n\n## Shelves\n\n{TALK[4]}\n\n## Drawer fronts\n\n{TALK[6]} {TALK[8]}\n",
            "md",
        ),
        "300 parts": _three_hundred(),
        "names that would act": _swapped(
            {"Side panel": '=HYPERLINK("x")<b>&amp;', "Shelf": "`$(rm)` {{7*7}} #x $y$ *z*"}
        ),
        "no capitals, no stops": Odd(
            captions([s.lower().replace(",", "").replace(".", "") for s in TALK], each_s=9.0)
        ),
    }


def lay_out(odd: Odd, folder: Path) -> list[str]:
    """Write an odd episode's files; give the arguments for the command line."""
    folder.mkdir(parents=True, exist_ok=True)
    transcript = folder / f"talk.{odd.ending}"
    transcript.write_text(odd.transcript, "utf-8")
    arguments = ["write", "--transcript", str(transcript), "--out", str(folder / "out"), "--quiet"]
    if odd.parts is not None:
        (folder / "parts.csv").write_text(odd.parts, "utf-8")
        arguments += ["--parts", str(folder / "parts.csv")]
    return arguments
