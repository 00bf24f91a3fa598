"""One open episode: what was understood is held in memory, so that an answer only runs what hangs on it.

An answer is written to `decisions.toml` at once and shown at once. The guide, the chapters and the files in `out/` follow in the
background, within a second or so; the page asks whether they have.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct, structs

from benchscribe.build import load_episode
from benchscribe.decisions import (
    Decisions,
    change_decisions,
    digest_of,
    load_decisions,
)
from benchscribe.desk.history import Deed, undo_of
from benchscribe.episode import (
    Edited,
    Heard,
    Job,
    Settled,
    edit,
    hear,
    settle,
    settle_quickly,
    understanding_of,
)
from benchscribe.errors import BenchscribeError
from benchscribe.kept import Understanding
from benchscribe.main_job import (
    cut_media,
    episode_job,
    outputs_of,
    recordings_of,
    templates_of,
    write_copy,
    write_files,
)
from benchscribe.measures.stage import find_measures
from benchscribe.records import EpisodeRecord, Finding, Measure
from benchscribe.stills import take_stills
from benchscribe.writers import EMBEDDED
from benchscribe.writers.view import View, make_view

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

    from benchscribe.listen import Progress

_DEEDS: Final = 200
"""Changes that can be undone, in one sitting."""


class FreshTalk(Struct, frozen=True, kw_only=True):
    """Edited talk, ahead of everything that is made of it."""

    edited: Edited
    measures: tuple[Measure, ...]


class Snapshot(Struct, frozen=True, kw_only=True):
    """The episode as it stands after so many changes; never altered, only followed by the next."""

    number: int
    """Grows with every change, the page's own and those made outside."""
    digest: str
    """Sum of `decisions.toml`; a change must be made for this very file."""
    decisions: Decisions
    edited: Edited
    found: Understanding
    settled: Settled
    view: View
    trouble: str = ""
    """Why `decisions.toml` cannot be read, where somebody has broken it."""
    catching_up: bool = False
    """The guide, the chapters or what was understood are of the answer before this one; they follow."""
    fresh: FreshTalk | None = None
    """The talk with an edit that has not been understood yet."""

    @property
    def record(self) -> EpisodeRecord:
        """The record as it goes out."""
        return self.settled.record

    def said(self, finding_id: str) -> Finding | None:
        """Give a finding as it was before any decision."""
        return next((f for f in self.settled.said if f.id == finding_id), None)


class Desk:
    """An episode on the desk. All methods may be called from any thread."""

    def __init__(
        self, episode: Path, *, cache: Path | None = None, progress: Callable[[Progress], None] | None = None
    ) -> None:
        """Open an episode; where it was never listened to, that is done first and takes its time.

        Args:
            episode: The episode's folder.
            cache: Where finished listening is kept; the user's own cache folder unless given.
            progress: Called while listening.

        Raises:
            BenchscribeError: Something cannot be read; says what and what to do.
        """
        self.episode = load_episode(episode)
        job, self.build = episode_job(self.episode, {})
        self.job: Job = structs.replace(job, cache=cache) if cache else job
        self.path = self.episode.decisions
        self._heard: Heard = hear(self.job, progress=progress)
        self._lock = threading.RLock()
        self._wake = threading.Condition(self._lock)
        self._closed = False
        self._unwritten = True
        self._writing = False
        self._wrote_at = ""
        self._write_trouble = ""
        self._deeds: list[Deed] = []
        self._seen = _signs(self.path)
        self._talk: tuple[object, Edited, Understanding] | None = None
        decisions = load_decisions(self.path)
        self._now = self._whole(0, decisions, digest_of(self.path))
        self._worker = threading.Thread(target=self._work, name="desk", daemon=True)

    def start(self) -> None:
        """Begin to write the files in the background."""
        self._worker.start()

    def close(self) -> None:
        """Write what is not written yet, and stop."""
        with self._wake:
            self._closed = True
            self._wake.notify_all()
        if self._worker.is_alive():
            self._worker.join(timeout=30)

    # --- reading ---

    def now(self) -> Snapshot:
        """Give the episode as it stands, with what was changed in the file meanwhile."""
        with self._lock:
            signs = _signs(self.path)
            if signs != self._seen:
                self._reread(signs)
            return self._now

    def files_state(self) -> tuple[bool, str, str]:
        """Say whether all files are written, when they last were ("12:31"), and what kept them from it."""
        with self._lock:
            return not (self._unwritten or self._writing), self._wrote_at, self._write_trouble

    def last_deed(self) -> str:
        """Name the change that undo would take back; empty where there is none."""
        with self._lock:
            return self._deeds[-1].name if self._deeds else ""

    # --- changing ---

    def change(
        self, name: str, edit_file: Callable[[TOMLDocument], TOMLDocument | None], *, expected: str
    ) -> Snapshot:
        """Write a change down and show it.

        Args:
            name: What is done, for the undo button.
            edit_file: Changes the document in place.
            expected: `digest` of the snapshot that the maker was looking at.

        Raises:
            DecisionsChangedError: The file is another one by now; nothing was written.
            BuildError: The file cannot be read or written.
        """
        with self._wake:
            before, after = change_decisions(self.path, edit_file, expected=expected)
            if after != before:
                self._deeds = [*self._deeds[-_DEEDS:], Deed(name=name, before=before, after=after)]
            return self._moved()

    def undo(self, *, expected: str) -> Snapshot:
        """Take the last change back, also where something else was changed in the file since.

        Raises:
            DecisionsChangedError: The file is another one by now, or holds no longer what was put in.
        """
        with self._wake:
            if self._deeds:
                change_decisions(self.path, undo_of(self._deeds[-1]), expected=expected)
                self._deeds.pop()
            return self._moved()

    def _moved(self) -> Snapshot:
        self._seen = _signs(self.path)
        self._now = self._quick(load_decisions(self.path), digest_of(self.path))
        self._unwritten = True
        self._wake.notify_all()
        return self._now

    def _reread(self, signs: tuple[int, int]) -> None:
        """Take in what was changed outside; a broken file is told, and what stood before goes on standing."""
        self._seen = signs
        digest = digest_of(self.path)
        if digest == self._now.digest and not self._now.trouble:
            return
        try:
            decisions = load_decisions(self.path)
        except BenchscribeError as error:
            self._now = structs.replace(
                self._now, number=self._now.number + 1, digest=digest, trouble=str(error)
            )
            return
        self._now = self._quick(decisions, digest)
        self._unwritten = True
        self._wake.notify_all()

    # --- working out ---

    def _whole(self, number: int, decisions: Decisions, digest: str) -> Snapshot:
        """Work everything out; what was understood is used again where no word of the talk is another."""
        talk = _talk_of(decisions)
        if self._talk is None or self._talk[0] != talk:
            edited = edit(self._heard, decisions, self.job)
            self._talk = talk, edited, understanding_of(edited, self.job)
        _, edited, found = self._talk
        settled = settle(edited, found, decisions, self.job)
        return self._snapshot(number, decisions, digest, (edited, found, settled))

    def _quick(self, decisions: Decisions, digest: str) -> Snapshot:
        """Show an answer at once: findings, chapters and lists are right; what takes longer is as before until the worker has done it."""
        now = self._now
        number = now.number + 1
        if _talk_of(now.decisions) != _talk_of(decisions) or now.fresh is not None:
            return structs.replace(
                now,
                number=number,
                digest=digest,
                decisions=decisions,
                fresh=self._fresh(decisions),
                trouble="",
                catching_up=True,
            )
        settled = settle_quickly(now.settled, decisions)
        shown = self._snapshot(number, decisions, digest, (now.edited, now.found, settled))
        return structs.replace(shown, catching_up=True)

    def _fresh(self, decisions: Decisions) -> FreshTalk | None:
        """Give the edited talk with its sizes read again; where a cut and its takes must be matched first, that is left to the worker."""
        if self._heard.cut is not None:
            return None
        edited = edit(self._heard, decisions, self.job)
        measures, _ = find_measures(edited.talk, self._now.found.units, edited.part_list)
        return FreshTalk(edited=edited, measures=measures)

    def _snapshot(
        self, number: int, decisions: Decisions, digest: str, done: tuple[Edited, Understanding, Settled]
    ) -> Snapshot:
        edited, found, settled = done
        return Snapshot(
            number=number,
            digest=digest,
            decisions=decisions,
            edited=edited,
            found=found,
            settled=settled,
            view=make_view(settled.record, template_dir=templates_of(self.build), out=self.episode.out),
        )

    def _work(self) -> None:
        """Catch up with the answers and write the files, again and again, until the desk is closed."""
        while True:
            with self._wake:
                while not self._unwritten and not self._closed:
                    self._wake.wait()
                if not self._unwritten:
                    return
                start = self._now
                self._unwritten, self._writing = False, True
            trouble = ""
            try:
                self._catch_up(start)
            except BenchscribeError as error:
                trouble = str(error)
            except Exception as error:  # noqa: BLE001 - whatever it is, the maker is told, and can go on answering
                trouble = f"{type(error).__name__}: {error}"
            with self._lock:
                self._writing = False
                self._write_trouble = trouble

    def _catch_up(self, start: Snapshot) -> None:
        whole = start
        if start.catching_up:
            whole = self._whole(start.number + 1, start.decisions, start.digest)
            whole = structs.replace(whole, trouble=start.trouble)
            with self._lock:
                if self._now.number != start.number:  # another answer came meanwhile
                    self._unwritten = True
                    return
                self._now = whole
        outputs = outputs_of(self.build)
        if outputs is None or "guide" in outputs:
            take_stills(whole.record, recordings_of(self.job), self.episode.out)
        write_files(whole.record, self.episode.out, self.build, only=outputs)
        if outputs is None or EMBEDDED in outputs:  # made again only where a chapter has changed
            write_copy(whole.record, cut_media(self.job), self.episode.out, asked=outputs is not None)
        with self._lock:
            self._wrote_at = time.strftime("%H:%M:%S")


def _talk_of(decisions: Decisions) -> tuple[object, object]:
    return decisions.word, decisions.off_record


def _signs(path: Path) -> tuple[int, int]:
    """Give what tells that a file was changed, without reading it."""
    try:
        stat = path.stat()
    except OSError:
        return 0, 0
    return stat.st_mtime_ns, stat.st_size
