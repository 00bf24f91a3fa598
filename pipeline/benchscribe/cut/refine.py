"""The map by words sharpened by the sound: where cut and takes are recordings, what sounds the same is the same."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from msgspec import structs

from benchscribe.cut.clips import Clip, map_by_clips
from benchscribe.cut.cutmap import CutMap
from benchscribe.records import Transcript

if TYPE_CHECKING:
    from benchscribe.sound import Same

_ONE_LAG_S: Final = 0.03
_GAP_S: Final = 0.5
"""Seconds of other sound (a knock, a chord of music) over which a stretch goes on."""


def refine(found: CutMap, cut: Transcript, takes: Transcript, same: Sequence[Same]) -> CutMap:
    """Sharpen a map by the sound.

    Stretches that are the same sound are pieces with exact edges, whether anything is said in them or not; of two takes of the same
    words the sound tells which one is in the cut. Words outside of them stay where the map by words has them.

    Args:
        found: The map by words.
        cut: What is said in the published cut.
        takes: What is said in the takes.
        same: Stretches of the cut's recording that are the same sound as one of the takes', numbered as the takes' files.
    """
    clips: list[Clip] = []
    for stretch in sorted(same, key=lambda s: s.from_s):
        file = takes.files[stretch.other]
        clip = Clip(
            begin_s=stretch.from_s,
            end_s=stretch.to_s,
            take_s=file.offset_s + stretch.at_s,
            file=file,
            by="sound",
            likeness=stretch.likeness,
        )
        last = clips[-1] if clips else None
        if last is not None and last.file == file and _goes_on(last, clip):
            clips[-1] = structs.replace(
                last, end_s=clip.end_s, likeness=round(min(last.likeness, clip.likeness), 3)
            )
        else:
            clips.append(clip)
    return map_by_clips(clips, cut, takes, found) if clips else found


def _goes_on(clip: Clip, following: Clip) -> bool:
    drift = following.take_s - clip.taken_s(following.begin_s)
    return abs(drift) <= _ONE_LAG_S and following.begin_s - clip.end_s <= _GAP_S
