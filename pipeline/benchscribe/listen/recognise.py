"""The recogniser: faster-whisper behind one small class, so that nothing else knows its arguments.

Settings measured on speech dense in sizes: beam 5 (beam 1 loses sizes), voice activity first, word times, and a prompt that shows sizes
spelled out in words. Digits in the prompt send the recogniser into loops; listed sizes never go in, since it would echo them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, Final, Protocol

from benchscribe.listen.decode import RATE, Samples
from benchscribe.listen.device import Device
from benchscribe.listen.loops import drop_loops
from benchscribe.listen.models import Model
from benchscribe.listen.options import ListenOptions
from benchscribe.listen.phrases import Heard, Phrase
from benchscribe.listen.pieces import quietest
from benchscribe.listen.windows import Span, cut_windows, find_speech
from benchscribe.records import Word

BATCH: Final = 4
"""Windows at a time: eight are no quicker on a CPU and take half a gigabyte more."""
_GPU_BATCH: Final = 16
_PROMPT: Final = {
    "en": "So it's three and five eighths inches by thirteen sixteenths, six foot two and a half, forty thou, "
    "seven hundred and twenty millimetres by eighteen mil, twenty-two and a half degrees."
}
_STUCK: Final = 2.4
"""The packing rate from which Whisper's own decoder takes its text for a loop."""
_NAME_LETTERS: Final = 300
"""Room for names in the prompt; the recogniser takes 223 tokens in all."""


class Recogniser(Protocol):
    """Turns sound into phrases."""

    def hear(self, samples: Samples, done: Callable[[float], None]) -> Heard:
        """Listen to one piece.

        Args:
            samples: 16 kHz, one channel.
            done: Told how many seconds of the piece are finished.
        """
        ...


class Whisper:
    """A loaded Whisper model."""

    def __init__(self, model: Model, device: Device, options: ListenOptions) -> None:
        """Load the model.

        Raises:
            ModelError: It cannot be loaded.
        """
        from faster_whisper import BatchedInferencePipeline, WhisperModel

        from benchscribe.errors import ModelError

        try:
            loaded = WhisperModel(
                str(model.folder), device=device.name, compute_type=device.compute_type, cpu_threads=device.threads, local_files_only=True
            )  # fmt: skip
        except (RuntimeError, ValueError, OSError) as error:
            raise ModelError(
                f'the speech model "{model.name}" cannot be loaded ({error})',
                where=str(model.folder),
                todo="Use base.",
            ) from error
        self._pipeline: Any = BatchedInferencePipeline(loaded)
        self._options = options
        self._batch = BATCH if device.name == "cpu" else _GPU_BATCH
        self._prompt = make_prompt(options.language, options.prompt_names)

    def hear(self, samples: Samples, done: Callable[[float], None]) -> Heard:
        """Listen to one piece; see `Recogniser.hear`."""
        speech = find_speech(samples)
        windows = cut_windows(speech, samples.size / RATE)
        phrases: list[Phrase] = []
        for phrase in self._hear_windows(samples, windows, self._prompt):
            phrases.extend(self._settle(samples, windows, phrase))
            done(phrase.end_s)
        return Heard(phrases=tuple(phrases), speech=speech)

    def _settle(self, samples: Samples, windows: Sequence[Span], phrase: Phrase) -> tuple[Phrase, ...]:
        """Hear a window again, in two halves and without the prompt, where the recogniser got stuck in it."""
        if not is_stuck(phrase):
            return (phrase,)
        middle = (phrase.start_s + phrase.end_s) / 2
        window = next((w for w in windows if w.start_s <= middle <= w.end_s), None)
        if window is None:
            return (phrase,)
        cut = _quiet_middle(samples, window)
        halves = (Span(window.start_s, cut), Span(cut, window.end_s))
        again = tuple(self._hear_windows(samples, halves, None))
        stuck = sum(is_stuck(half) for half in again)
        return again if again and stuck < len(again) else (phrase,)

    def _hear_windows(
        self, samples: Samples, windows: Sequence[Span], prompt: str | None
    ) -> Iterable[Phrase]:
        if not windows:
            return
        segments, _ = self._pipeline.transcribe(
            samples,
            language=self._options.language,
            beam_size=self._options.beam_size,
            batch_size=self._batch,
            clip_timestamps=[{"start": w.start_s, "end": w.end_s} for w in windows],
            vad_filter=False,
            word_timestamps=True,
            without_timestamps=True,
            initial_prompt=prompt,
        )
        for segment in segments:
            yield Phrase(
                start_s=round(float(segment.start), 3),
                end_s=round(float(segment.end), 3),
                words=join_words(segment.words or ()),
                log_probability=round(float(segment.avg_logprob), 4),
                no_speech=round(float(segment.no_speech_prob), 4),
                repetition=round(float(segment.compression_ratio), 3),
            )


def is_stuck(phrase: Phrase) -> bool:
    """Tell whether a window's text repeats itself as talk does not."""
    return phrase.repetition > _STUCK or bool(drop_loops(phrase.words)[1])


def _quiet_middle(samples: Samples, window: Span) -> float:
    """Give the quietest moment in the middle third of a window."""
    third = (window.end_s - window.start_s) / 3
    first = int((window.start_s + third) * RATE)
    return (first + quietest(samples[first : int((window.end_s - third) * RATE)], 0)) / RATE


def make_prompt(language: str, names: Sequence[str]) -> str | None:
    """Make the recogniser's prompt: names that will be said, then sizes spelled out in words.

    Names with a digit are left out: a size must never come back because it was shown.
    """
    said = [name for name in dict.fromkeys(names) if name and not any(c.isdigit() for c in name)]
    room = _NAME_LETTERS
    kept = []
    for name in said:
        room -= len(name) + 2
        if room < 0:
            break
        kept.append(name)
    listed = f"Today: {', '.join(kept)}. " if kept else ""
    return (listed + _PROMPT.get(language, "")).strip() or None


def join_words(tokens: Iterable[Any]) -> tuple[Word, ...]:
    """Make words of what the recogniser calls words: one that does not begin with a space goes on from the one before ("12" ".5")."""
    words: list[Word] = []
    for token in tokens:
        text = str(token.word)
        start, end, sure = (
            round(float(token.start), 3),
            round(float(token.end), 3),
            round(float(token.probability), 3),
        )
        if not text.strip():
            continue
        if words and not text[0].isspace():
            last = words[-1]
            words[-1] = Word(
                last.text + text.strip(),
                last.start_s,
                max(last.end_s or 0.0, end),
                min(last.confidence or 0.0, sure),
            )
        else:
            words.append(Word(text.strip(), start, end, sure))
    return tuple(words)
