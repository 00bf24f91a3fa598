"""Recordings, captions and notes become words with times.

Reading captions and notes needs no heavy library; the recogniser and the decoder are loaded only where there is sound to listen to.
"""

from __future__ import annotations

from pathlib import Path

from benchscribe.listen.captions import read_captions
from benchscribe.listen.notes import read_notes
from benchscribe.listen.options import ListenOptions, Progress
from benchscribe.listen.sentences import cut_utterances
from benchscribe.listen.stage import CAPTIONS, NOTES, listen
from benchscribe.records import Transcript

__all__ = [
    "CAPTIONS",
    "NOTES",
    "ListenOptions",
    "Progress",
    "Transcript",
    "cut_utterances",
    "describe_device",
    "describe_model",
    "in_recording_order",
    "listen",
    "read_captions",
    "read_notes",
]


def describe_device() -> str:
    """Say in a few words what would be computed on."""
    from benchscribe.listen import device

    return device.describe_device()


def describe_model(name: str, cache_dir: Path | None = None) -> str:
    """Say in a few words whether a speech model can be used here.

    Args:
        name: As in `ListenOptions.model`.
        cache_dir: The program's cache folder, to see whether it has been put together there.
    """
    from benchscribe.listen import models

    return models.describe_model(name, cache_dir)


def in_recording_order(paths: list[Path] | tuple[Path, ...]) -> tuple[Path, ...]:
    """Put recordings in the order in which they were made, where every one says when; see `listen.media`."""
    from benchscribe.listen import media

    return media.in_recording_order(paths)
