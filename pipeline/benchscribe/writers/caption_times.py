"""When captions stand: from the first word to the last, and longer where that gives time to read.

A caption that asks for more than 180 words a minute is eased before it is flagged: first it stands on into the pause behind it, then it
comes up to a third of a second early into the pause before it, and last the next one waits as long where it has time to spare. All of
it stays within the half second by which a caption may be off its sound (academic captioning guide; a broadcaster allows 1.5 s).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

SHORTEST_S: Final = 1.0
LONGEST_S: Final = 7.0
FASTEST_WPM: Final = 180
SHIFT_S: Final = 0.3
"""How far a caption may begin before or after its first word, to give time to read."""


class CaptionCue(Struct, frozen=True):
    """One caption, ready to be written."""

    start_s: float
    end_s: float
    lines: tuple[str, ...]

    @property
    def words(self) -> int:
        """Words that it shows, which is what people read: "3 1/4 inches" is three."""
        return sum(len(line.split()) for line in self.lines)

    @property
    def wpm(self) -> int:
        """Words a minute that it asks of the reader."""
        return round(60 * self.words / max(self.end_s - self.start_s, 0.001))


def eased(cues: Sequence[CaptionCue], *, shift: bool = True) -> tuple[CaptionCue, ...]:
    """Give captions the time that reading takes, as far as there is room for it.

    Args:
        cues: In order of their starts, each from its first word to the end of its last.
        shift: Starts may move by `SHIFT_S`; False keeps them, as captions that came in want it.

    Returns:
        As many captions with the same lines. What overlaps already goes on doing so; nothing new does.
    """
    starts = [c.start_s for c in cues]
    ends = [max(c.end_s, c.start_s + 0.001) for c in cues]
    need = [max(SHORTEST_S, 60 * c.words / FASTEST_WPM) for c in cues]

    def lengthen(n: int) -> None:
        room = starts[n + 1] if n + 1 < len(cues) else float("inf")
        ends[n] = max(ends[n], min(starts[n] + need[n], room, starts[n] + LONGEST_S))

    for n in range(len(cues)):
        lengthen(n)
        if not shift:
            continue
        before = ends[n - 1] if n else 0.0
        if ends[n] - starts[n] < need[n] and before <= starts[n]:
            earliest = max(before, cues[n].start_s - SHIFT_S, ends[n] - LONGEST_S)
            starts[n] = max(min(earliest, starts[n]), min(starts[n], ends[n] - need[n]))
        if n + 1 < len(cues) and ends[n] - starts[n] < need[n] and ends[n] >= starts[n + 1] - 0.001:
            after = starts[n + 2] if n + 2 < len(cues) else float("inf")
            spare = max(ends[n + 1], min(starts[n + 1] + need[n + 1], after)) - starts[n + 1] - need[n + 1]
            late = min(SHIFT_S, spare, need[n] - (ends[n] - starts[n]), starts[n] + LONGEST_S - ends[n])
            if late > 0:
                starts[n + 1] += late
                lengthen(n)
    return tuple(
        CaptionCue(round(start, 3), round(end, 3), cue.lines)
        for start, end, cue in zip(starts, ends, cues, strict=True)
    )
