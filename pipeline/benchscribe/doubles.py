"""The same sound in several recordings, on disk: which of them are listened to, and what of the takes is in the cut."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import structs

from benchscribe.build import MEDIA
from benchscribe.records import Gap

if TYPE_CHECKING:
    from benchscribe.cut.recorders import Double
    from benchscribe.sound import Bands, Same


def one_of_each(sources: Sequence[Path], cache_dir: Path) -> tuple[tuple[Path, ...], tuple[Gap, ...]]:
    """Leave out recordings of minutes that another recording has as well, so that no word is heard twice.

    Args:
        sources: Recordings, captions and notes; only recordings are compared.
        cache_dir: Where the sound of each recording is kept, so that it is decoded for this once.

    Returns:
        What to listen to, in the same order, and a note for each recording that was left out.

    Raises:
        MediaError: A recording cannot be decoded.
    """
    recordings = [path for path in sources if path.suffix.lower() in MEDIA]
    if len(recordings) < 2:
        return tuple(sources), ()
    from benchscribe.cut.recorders import find_doubles, loudness
    from benchscribe.listen.sounds import sound_of

    found = find_doubles([loudness(sound_of(path, cache_dir)) for path in recordings])
    gone = {recordings[double.dropped] for double in found}
    return tuple(p for p in sources if p not in gone), tuple(_note(double, recordings) for double in found)


def _note(double: Double, recordings: Sequence[Path]) -> Gap:
    kept, dropped = recordings[double.kept].name, recordings[double.dropped].name
    when = f"{abs(double.lag_s):.1f} s {'after' if double.lag_s >= 0 else 'before'} it"
    return Gap(
        kind="doubled",
        note=f"{dropped} has the same sound as {kept} and begins {when}; {kept} is used. To use both, name the takes in episode.toml.",
    )


def same_sound(
    cut: Path, sources: Sequence[Path], cache_dir: Path, *, left_out: Sequence[Path] = ()
) -> tuple[Same, ...]:
    """Find the stretches of a published cut that are the same sound as a take.

    Args:
        cut: The cut.
        sources: The takes, in the order in which they are laid end to end.
        cache_dir: Where the sound of each recording is kept.
        left_out: Recordings of the same minutes as a take; the editor may have used the sound of one of these.

    Returns:
        Stretches, numbered by their place in `sources`; none where the cut or all the takes are captions or notes.

    Raises:
        MediaError: A recording cannot be decoded.
    """
    recordings = [n for n, path in enumerate(sources) if path.suffix.lower() in MEDIA]
    if cut.suffix.lower() not in MEDIA or not recordings:
        return ()
    from benchscribe.listen.sounds import sound_of
    from benchscribe.sound import find_same

    sound = sound_of(cut, cache_dir)
    takes = [sound_of(sources[n], cache_dir) for n in recordings]
    others = [sound_of(path, cache_dir) for path in left_out]
    stand_ins = _stand_ins(takes, others) if others else {}
    found = []
    for same in find_same(sound, [*takes, *others]):
        kept, lag_s = stand_ins.get(same.other, (same.other, 0.0))
        at_s = same.at_s + lag_s
        if kept < len(takes) and at_s >= 0:
            found.append(structs.replace(same, other=recordings[kept], at_s=round(at_s, 4)))
    return tuple(found)


def _stand_ins(takes: Sequence[Bands], others: Sequence[Bands]) -> dict[int, tuple[int, float]]:
    """Give for each recording that was left out, numbered on from the takes, its take, and where it begins in that."""
    from benchscribe.cut.recorders import find_doubles, loudness

    curves = [loudness(sound) for sound in (*takes, *others)]
    return {double.dropped: (double.kept, double.lag_s) for double in find_doubles(curves)}
