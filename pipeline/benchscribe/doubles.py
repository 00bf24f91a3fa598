"""The same minutes recorded twice, on disk: which recordings are listened to."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from benchscribe.build import MEDIA
from benchscribe.records import Gap

if TYPE_CHECKING:
    from benchscribe.cut.recorders import Curve, Double


def one_of_each(sources: Sequence[Path], cache_dir: Path) -> tuple[tuple[Path, ...], tuple[Gap, ...]]:
    """Leave out recordings of minutes that another recording has as well, so that no word is heard twice.

    Args:
        sources: Recordings, captions and notes; only recordings are compared.
        cache_dir: Where the loudness of each recording is kept, so that it is decoded for this once.

    Returns:
        What to listen to, in the same order, and a note for each recording that was left out.

    Raises:
        MediaError: A recording cannot be decoded.
    """
    recordings = [path for path in sources if path.suffix.lower() in MEDIA]
    if len(recordings) < 2:
        return tuple(sources), ()
    from benchscribe.cut.recorders import find_doubles

    found = find_doubles([_loudness(path, cache_dir) for path in recordings])
    gone = {recordings[double.dropped] for double in found}
    return tuple(p for p in sources if p not in gone), tuple(_note(double, recordings) for double in found)


def _note(double: Double, recordings: Sequence[Path]) -> Gap:
    kept, dropped = recordings[double.kept].name, recordings[double.dropped].name
    when = f"{abs(double.lag_s):.1f} s {'after' if double.lag_s >= 0 else 'before'} it"
    return Gap(
        kind="doubled",
        note=f"{dropped} has the same sound as {kept} and begins {when}; {kept} is used. To use both, name the takes in episode.toml.",
    )


def _loudness(path: Path, cache_dir: Path) -> Curve:
    """Give a recording's loudness, decoded only where its bytes are new."""
    import numpy as np

    from benchscribe.cut.recorders import FRAMES_PER_S, loudness
    from benchscribe.listen.decode import RATE, Decoder
    from benchscribe.listen.journal import file_digest

    place = cache_dir / "loudness" / f"{file_digest(path, cache_dir)}-{FRAMES_PER_S}.npy"
    try:
        known: Any = np.load(place, allow_pickle=False)
    except (OSError, ValueError, EOFError):
        pass
    else:
        if known.dtype == np.float32 and known.ndim == 1:
            return known  # type: ignore[no-any-return]
    curve = loudness((block.samples for block in Decoder(path).blocks()), RATE)
    _keep(place, curve)
    return curve


def _keep(place: Path, curve: Curve) -> None:
    """Keep it whole or not at all; a cache that cannot be written costs only time."""
    import numpy as np

    beside = place.with_name(f".{place.name}.{os.getpid()}.part")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        with beside.open("wb") as file:
            np.save(file, curve, allow_pickle=False)
        beside.replace(place)
    except OSError:
        beside.unlink(missing_ok=True)
