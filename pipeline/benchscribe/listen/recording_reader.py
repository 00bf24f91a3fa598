"""Recordings as transcripts, with the speech model loaded once and only where it is needed, and with progress over all of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from benchscribe.listen.device import choose_device
from benchscribe.listen.journal import HeardFile, settings_key
from benchscribe.listen.media import probe
from benchscribe.listen.models import Model, get_model, model_key
from benchscribe.listen.options import ListenOptions, Progress
from benchscribe.listen.recognise import Recogniser, Whisper
from benchscribe.listen.recording import Listener, hear_recording, known_recording
from benchscribe.listen.sentences import cut_utterances
from benchscribe.records import SourceFile, Transcript


class RecordingReader:
    """Reads the recordings of one run."""

    def __init__(
        self,
        paths: Sequence[Path],
        options: ListenOptions,
        cache_dir: Path,
        progress: Callable[[Progress], None] | None,
        now: Callable[[], float],
    ) -> None:
        """Look at every recording first, so that a bad one is known before an hour has been spent on a good one.

        Raises:
            MediaError: One of them cannot be listened to.
        """
        self._options, self._cache_dir = options, cache_dir
        self._progress, self._now = progress, now
        self._lengths = {path: probe(path).duration_s or 0.0 for path in paths}
        self._total_s = sum(self._lengths.values())
        self._before_s = self._heard_s = self._last_s = 0.0
        self._began: float | None = None
        self._recogniser: Recogniser | None = None
        self._listener = Listener(cache_dir, self._settings(), self._load) if paths else None

    def read(self, path: Path) -> Transcript:
        """Give one recording as a transcript that begins at zero.

        Raises:
            MediaError: It cannot be listened to.
            ModelError: The speech model is missing or damaged.
        """
        assert self._listener is not None, "a recording is read only where one was given"
        digest, heard = known_recording(path, self._listener)
        if heard is None:
            self._last_s = 0.0
            self._tell(path, 0.0, "")
            heard = hear_recording(
                path, digest, self._listener, lambda at, fresh: self._done(path, at, fresh=fresh)
            )
        self._before_s += self._lengths[path]
        return _transcript(path, heard, self._options)

    def _settings(self) -> str:
        known = model_key(self._options.model, self._options.language)
        return settings_key(known or self._model().key, self._options)

    def _model(self) -> Model:
        return get_model(self._options.model, self._cache_dir, language=self._options.language)

    def _load(self) -> Recogniser:
        if self._recogniser is None:
            model = self._model()
            device = choose_device(self._options.device, self._options.threads, str(model.folder))
            self._recogniser = Whisper(model, device, self._options)
            self._began = self._now()
        return self._recogniser

    def _done(self, path: Path, at_s: float, *, fresh: bool) -> None:
        if fresh:
            self._heard_s += max(0.0, at_s - self._last_s)
        self._last_s = at_s
        self._tell(path, at_s, "")

    def _tell(self, path: Path, at_s: float, message: str) -> None:
        if self._progress is None:
            return
        done = min(self._before_s + at_s, self._total_s) if self._total_s else self._before_s + at_s
        self._progress(
            Progress(file=path.name, done_s=round(done, 1), total_s=round(max(self._total_s, done), 1), eta_s=self._eta(done), message=message)
        )  # fmt: skip

    def _eta(self, done_s: float) -> float | None:
        if self._began is None or self._heard_s <= 0:
            return None
        pace = (self._now() - self._began) / self._heard_s
        return round(max(0.0, self._total_s - done_s) * pace, 1)


def _transcript(path: Path, heard: HeardFile, options: ListenOptions) -> Transcript:
    file = SourceFile(
        name=path.name,
        offset_s=0.0,
        duration_s=heard.length_s,
        kind="video" if heard.info.has_video else "audio",
        recorded_at=heard.info.recorded_at,
    )
    return Transcript(
        files=(file,),
        clock="takes",
        words=heard.words,
        utterances=cut_utterances(heard.words),
        gaps=heard.gaps,
        claps=heard.claps,
        language=options.language,
        model=options.model,
    )
