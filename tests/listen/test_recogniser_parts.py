"""What stands around the recogniser: its prompt, its words, its windows, its device, and what is thrown out of what it writes."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchscribe.errors import ModelError
from benchscribe.listen import describe_device, device
from benchscribe.listen.clean import clean, move
from benchscribe.listen.decode import RATE
from benchscribe.listen.device import choose_device, sensible_threads
from benchscribe.listen.loops import drop_loops
from benchscribe.listen.phrases import Heard, Phrase
from benchscribe.listen.recognise import Whisper, is_stuck, join_words, make_prompt
from benchscribe.listen.windows import WINDOW_S, Span, cut_windows
from benchscribe.records import Word


def said(text: str, start: float = 0.0) -> tuple[Word, ...]:
    return tuple(
        Word(part, start + i * 0.3, start + i * 0.3 + 0.25, 0.9) for i, part in enumerate(text.split())
    )


def text_of(words: object) -> str:
    return " ".join(word.text for word in words)


# --- prompt ---


def test_the_prompt_names_parts_and_never_a_size() -> None:
    prompt = make_prompt("en", ["corner post", "rail 34 1/4", "2x4", "corner post", ""])
    assert prompt.startswith("Today: corner post. ")
    assert not any(c.isdigit() for c in prompt)
    assert "three and five eighths inches" in prompt


def test_the_prompt_has_room_left_however_many_names_there_are() -> None:
    prompt = make_prompt("en", [f"part {chr(97 + i % 26)}{chr(97 + i // 26)}" for i in range(300)])
    assert len(prompt) < 600
    assert prompt.endswith("degrees.")


def test_another_language_has_no_english_prompt() -> None:
    assert make_prompt("de", []) is None
    assert make_prompt("de", ["Leiste"]) == "Today: Leiste."


# --- words ---


def token(word: str, start: float, end: float, probability: float = 0.9) -> SimpleNamespace:
    return SimpleNamespace(word=word, start=start, end=end, probability=probability)


def test_a_number_that_came_in_parts_is_one_word() -> None:
    words = join_words(
        [
            token(" at", 0, 1),
            token(" 12", 1, 2, 0.8),
            token(".5", 2, 3, 0.5),
            token(" ", 3, 3),
            token(" cm.", 3, 4),
        ]
    )
    assert words == (Word("at", 0, 1, 0.9), Word("12.5", 1, 3, 0.5), Word("cm.", 3, 4, 0.9))


# --- windows ---

SPEECH = st.lists(st.tuples(st.floats(0.05, 6), st.floats(0.2, 28)), max_size=40)


@settings(deadline=None)
@given(SPEECH)
def test_windows_hold_all_speech_and_are_short_enough(parts: list[tuple[float, float]]) -> None:
    speech, at = [], 0.0
    for pause, length in parts:
        speech.append(Span(at + pause, at + pause + length))
        at += pause + length
    windows = cut_windows(speech, at + 1)
    assert all(0 < window.end_s - window.start_s <= WINDOW_S + 0.01 for window in windows)
    assert all(a.end_s <= b.start_s + 1e-9 for a, b in itertools.pairwise(windows))
    for part in speech:
        assert any(w.start_s <= part.start_s + 1e-6 and part.end_s <= w.end_s + 1e-6 for w in windows)


def test_a_long_silence_is_in_no_window() -> None:
    windows = cut_windows([Span(1, 4), Span(12, 15)], 20)
    assert len(windows) == 2
    assert windows[0].end_s < 5
    assert windows[1].start_s > 11


def test_a_window_ends_at_a_real_pause() -> None:
    speech = [Span(0, 10), Span(10.2, 20), Span(21.5, 27), Span(27.2, 40)]
    assert cut_windows(speech, 41)[0].end_s == pytest.approx(20.3)


# --- loops and silence ---


def test_a_loop_is_kept_once_with_a_note() -> None:
    kept, gaps = drop_loops(said("cut it here " + "and then we go " * 6 + "to the saw"))
    assert text_of(kept) == "cut it here and then we go to the saw"
    assert gaps[0].kind == "repeat-loop"
    assert '"and then we go" was written 6 times' in gaps[0].note
    assert gaps[0].start_s == pytest.approx(7 * 0.3)


def test_a_loop_of_one_word_is_found() -> None:
    kept, gaps = drop_loops(said("so " + "the " * 20 + "end"))
    assert text_of(kept) == "so the end"
    assert len(gaps) == 1


@pytest.mark.parametrize(
    "text",
    ["chop, chop, chop, chop at two", "no no no no", "one by one by one", "a half by a half", "202, 202."],
)
def test_what_people_really_repeat_is_kept(text: str) -> None:
    kept, gaps = drop_loops(said(text))
    assert text_of(kept) == text
    assert gaps == []


class Stuck(Whisper):
    """A recogniser that is stuck with the prompt, and not without it."""

    def __init__(self) -> None:
        """Load nothing."""
        self.asked: list[tuple[Span, ...]] = []

    def _hear_windows(
        self,
        samples: np.ndarray,  # noqa: ARG002 - the real one's arguments
        windows: Sequence[Span],
        prompt: str | None,
    ) -> Iterator[Phrase]:
        self.asked.append(tuple(windows))
        assert prompt is None
        yield from (phrase("cut it here", w.start_s) for w in windows)


def test_a_window_in_which_the_recogniser_got_stuck_is_heard_again_in_halves() -> None:
    stuck = Stuck()
    samples = np.ones(40 * RATE, dtype=np.float32)
    samples[18 * RATE : 19 * RATE] = 0
    loop = phrase("no no no " * 12, 6.0, repetition=9.0)
    assert is_stuck(loop)
    again = stuck._settle(samples, [Span(0, 5), Span(5, 30)], loop)
    assert text_of([w for p in again for w in p.words]) == "cut it here cut it here"
    (halves,) = stuck.asked
    assert (halves[0].start_s, halves[1].end_s) == (5, 30)
    assert 18 < halves[0].end_s == halves[1].start_s < 19


def test_a_window_that_is_fine_is_heard_once() -> None:
    stuck = Stuck()
    fine = phrase("chop, chop, chop, chop at two", repetition=1.4)
    assert stuck._settle(np.zeros(0), [], fine) == (fine,)
    assert stuck.asked == []


def phrase(text: str, start: float = 0.0, **more: float) -> Phrase:
    words = said(text, start)
    return Phrase(start_s=start, end_s=start + 0.3 * len(words), words=words, **more)


def test_text_where_nobody_speaks_is_left_out_with_a_note() -> None:
    heard = Heard(phrases=(phrase("rip it now"), phrase("thank you", 20.0)), speech=(Span(0.0, 1.0),))
    cleaned = move(clean(heard), 60.0)
    assert text_of(cleaned.words) == "rip it now"
    assert cleaned.words[0].start_s == 60.0
    assert [(gap.kind, gap.start_s) for gap in cleaned.gaps] == [("text-in-silence", 80.0)]
    assert cleaned.gaps[0].note == '1:20: "thank you" was written where nobody speaks; left out'


def test_a_window_of_noise_is_left_out() -> None:
    noise = phrase("oh oh you", no_speech=0.8, log_probability=-1.3)
    assert clean(Heard(phrases=(noise,), speech=(Span(0, 5),))).words == ()


def test_unsure_speech_is_kept() -> None:
    quiet = phrase("oh it's five", no_speech=0.7, log_probability=-0.6)
    assert len(clean(Heard(phrases=(quiet,), speech=(Span(0, 5),))).words) == 3


# --- device ---


def test_the_cpu_counts_in_int8() -> None:
    chosen = choose_device("cpu", None, None)
    assert (chosen.name, chosen.compute_type, chosen.threads) == ("cpu", "int8", sensible_threads())
    assert choose_device("cpu", 3, None).threads == 3


def test_a_gpu_whose_library_aborts_does_not_take_the_program_with_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(device, "_gpu_count", lambda: 1)
    monkeypatch.setattr(device, "_PROBE", "import os; os.abort()")
    chosen = choose_device("auto", None, "folder")
    assert chosen.name == "cpu"
    assert chosen.why
    with pytest.raises(ModelError, match="the GPU cannot be used"):
        choose_device("cuda", None, "folder")


def test_a_gpu_that_works_is_used(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(device, "_gpu_count", lambda: 1)
    monkeypatch.setattr(
        device, "_PROBE", "import sys; print('works' if sys.argv[2] == 'int8_float16' else '')"
    )
    assert choose_device("auto", None, "folder").compute_type == "int8_float16"


def test_without_a_gpu_cuda_is_refused_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(device, "_gpu_count", lambda: 0)
    with pytest.raises(ModelError, match="there is none"):
        choose_device("cuda", None, None)
    with pytest.raises(ModelError, match="auto, cpu, cuda"):
        choose_device("tpu", None, None)
    assert describe_device().startswith("CPU, int8, ")
