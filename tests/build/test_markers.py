"""The maker's own phrases strike, warn and put off."""

from __future__ import annotations

from benchscribe.markers import strike_marked, with_marked
from benchscribe.records import Cue, Mentions, Transcript, Utterance, Word


def talk(*sentences: str) -> Transcript:
    words: list[Word] = []
    utterances: list[Utterance] = []
    for number, sentence in enumerate(sentences):
        first = len(words)
        words += [Word(text, number * 10.0, number * 10.0 + 1) for text in sentence.split()]
        utterances.append(Utterance((first, len(words)), number * 10.0, number * 10.0 + 9))
    cues = tuple(Cue(u.span, u.start_s, u.end_s) for u in utterances)
    return Transcript(files=(), clock="captions", words=tuple(words), utterances=tuple(utterances), cues=cues)


def test_a_struck_sentence_is_gone_and_the_rest_keeps_its_times() -> None:
    said = strike_marked(
        talk("The leg is 30.", "Strike that, my door code is 1234.", "The rail is 20."), ["strike that"]
    )
    assert [said.text(u.span) for u in said.utterances] == ["The leg is 30.", "The rail is 20."]
    assert [said.text(c.span) for c in said.cues] == ["The leg is 30.", "The rail is 20."]
    assert said.words[-1].start_s == 20.0
    assert [(g.kind, g.start_s, g.end_s) for g in said.gaps] == [("off-record", 10.0, 19.0)]


def test_without_the_phrase_nothing_changes() -> None:
    before = talk("The leg is 30.")
    assert strike_marked(before, ["strike that"]) is before
    assert strike_marked(before, []) is before


def test_a_phrase_across_two_sentences_strikes_both() -> None:
    said = strike_marked(talk("Now leave.", "This out please.", "Go on."), ["leave this out"])
    assert [said.text(u.span) for u in said.utterances] == ["Go on."]


def test_the_phrases_for_warnings_and_promises_declare_them() -> None:
    said = talk("Mind this, the blade is still turning.", "For the next bench day, the hinges.")
    found = with_marked(Mentions(), said, warning=["mind this"], next_time=["next bench day"])
    assert [(h.name, h.caution, h.said) for h in found.hazards] == [
        ("warning", "Mind this, the blade is still turning.", True)
    ]
    assert [(p.text, p.start_s) for p in found.promises] == [("For the next bench day, the hinges.", 10.0)]


def test_a_promise_that_was_found_already_is_not_told_twice() -> None:
    said = talk("For the next bench day, the hinges.")
    once = with_marked(Mentions(), said, warning=[], next_time=["next bench day"])
    assert with_marked(once, said, warning=[], next_time=["next bench day"]) == once
