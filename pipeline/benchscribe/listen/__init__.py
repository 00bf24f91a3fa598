"""Recordings, captions and notes become words with times.

Reading captions and notes needs no heavy library; the recogniser and the decoder are loaded only where there is sound to listen to.
"""

from __future__ import annotations

from benchscribe.listen.captions import read_captions
from benchscribe.listen.notes import read_notes
from benchscribe.listen.options import ListenOptions, Progress
from benchscribe.listen.sentences import cut_utterances
from benchscribe.listen.stage import listen

__all__ = ["ListenOptions", "Progress", "cut_utterances", "listen", "read_captions", "read_notes"]
