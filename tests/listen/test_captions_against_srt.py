"""An outside reader of SubRip files and ours agree on whatever that library writes."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import srt
from hypothesis import given, settings
from hypothesis import strategies as st

from benchscribe.listen import read_captions

WORD = st.text(alphabet="abcdefghijklmnopqrstuvwxyz0123456789/.'", min_size=1, max_size=9).filter(
    lambda text: any(c.isalpha() for c in text)
)
TEXT = st.lists(WORD, min_size=1, max_size=9, unique=True).map(" ".join)


@st.composite
def cues(draw: st.DrawFn) -> list[srt.Subtitle]:
    at, out = 0, []
    for i in range(draw(st.integers(1, 8))):
        at += draw(st.integers(0, 4000))
        length = draw(st.integers(1, 5000))
        text = f"cue{i} " + draw(TEXT)
        out.append(srt.Subtitle(i + 1, timedelta(milliseconds=at), timedelta(milliseconds=at + length), text))
        at += length
    return out


@settings(max_examples=60, deadline=None)
@given(cues())
def test_times_and_words_agree(subtitles: list[srt.Subtitle]) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "take.srt"
        path.write_text(srt.compose(subtitles), encoding="utf-8")
        read = read_captions(path)
    judged = list(srt.parse(srt.compose(subtitles)))
    assert [(cue.start_s, cue.end_s) for cue in read.cues] == [
        (round(s.start.total_seconds(), 3), round(s.end.total_seconds(), 3)) for s in judged
    ]
    assert [read.text(cue.span) for cue in read.cues] == [" ".join(s.content.split()) for s in judged]


@settings(max_examples=60, deadline=None)
@given(cues())
def test_every_word_is_in_one_sentence_and_has_a_time_in_its_cue(subtitles: list[srt.Subtitle]) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "take.srt"
        path.write_text(srt.compose(subtitles), encoding="utf-8")
        read = read_captions(path)
    spans = [utterance.span for utterance in read.utterances]
    assert [i for first, last in spans for i in range(first, last)] == list(range(len(read.words)))
    for cue in read.cues:
        for word in read.words[cue.span[0] : cue.span[1]]:
            assert cue.start_s - 1e-3 <= word.start_s <= word.end_s <= cue.end_s + 1e-3
