"""What can go wrong, said so that the maker knows what to do.

Every error that a user can cause derives from `BenchscribeError`; the command line catches that one class, prints the message and
leaves with a status other than zero. A traceback is a bug.
"""

from __future__ import annotations


class BenchscribeError(Exception):
    """One clear sentence: what is wrong, where, and what to do about it.

    Attributes:
        what: What is wrong, as a sentence without its full stop.
        where: File, line or key path; empty where there is none.
        todo: What the maker can do about it; empty where nothing helps.
    """

    def __init__(self, what: str, *, where: str = "", todo: str = "") -> None:
        """Keep the three fields; the message is put together when it is shown."""
        super().__init__(what, where, todo)
        self.what, self.where, self.todo = what, where, todo

    def __str__(self) -> str:
        """Give "WHERE: what. What to do."."""
        text = f"{self.where}: {self.what}" if self.where else self.what
        text = text if text.endswith((".", "!", "?")) else text + "."
        return f"{text} {self.todo}" if self.todo else text

    def __reduce__(self) -> tuple[object, ...]:
        """Survive pickling with keyword-only fields (work is shared between processes)."""
        return (_rebuild, (type(self), self.what, self.where, self.todo))


def _rebuild(kind: type[BenchscribeError], what: str, where: str, todo: str) -> BenchscribeError:
    return kind(what, where=where, todo=todo)


class BuildError(BenchscribeError):
    """A build folder, `build.toml`, `episode.toml` or `decisions.toml` is not as it must be."""


class MediaError(BenchscribeError):
    """A recording cannot be listened to."""


class TranscriptError(BenchscribeError):
    """A caption file or notes cannot be read."""


class PartListError(BenchscribeError):
    """A part list cannot be read."""


class ModelError(BenchscribeError):
    """A speech or language model is missing or damaged."""


class WriteError(BenchscribeError):
    """A file cannot be written."""
