"""What each page of the desk may show: one frozen record a template, every name documented."""

from __future__ import annotations

from msgspec import Struct

from benchscribe.desk.places import Clip


class Frame(Struct, frozen=True, kw_only=True):
    """What stands on every page."""

    page: str
    """Which page: settle, glance, talk, lists, out."""
    title: str
    """The episode's."""
    kicker: str
    """Build and number."""
    head: str
    """How much is to be settled: "3 things to settle, about 6 minutes"."""
    settled: int
    total: int
    """Of the findings."""
    version: str
    """Of the decisions; goes back with every change."""
    number: int
    """Of the snapshot; the page asks whether there is a later one."""
    files: str
    """Whether the files are written, and when."""
    undo: str
    """What undo takes back; empty where there is nothing."""
    can_hear: bool
    """There is sound to play."""
    draft: str
    """The draft line, while there is no published cut."""
    trouble: str = ""
    """Why decisions.toml cannot be read."""
    problem: str = ""
    """What was wrong with the last answer."""


class Line(Struct, frozen=True, kw_only=True):
    """One finding in the list."""

    id: str
    number: int
    kind: str
    subject: str
    said: str
    listed: str
    time: str
    clip: Clip | None
    state: str
    """open, or how it was settled, in words."""
    is_open: bool
    here: bool
    """Its ticket is the one shown."""


class Cell(Struct, frozen=True, kw_only=True):
    """A cell of the part's row."""

    name: str
    text: str
    here: bool


class Option(Struct, frozen=True, kw_only=True):
    """One answer, as a button."""

    id: str
    label: str
    means: str
    goes_out: str
    chosen: bool


class Ticket(Struct, frozen=True, kw_only=True):
    """A finding with all that is needed to settle it."""

    id: str
    number: int
    kind: str
    subject: str
    time: str
    clip: Clip | None
    again: tuple[tuple[str, Clip | None], ...]
    said: str
    listed: str
    beside_word: str
    """What the other size is: listed, worked out, said as well."""
    ruler: str
    """Both sizes on one rule, as SVG that is finished."""
    before: str
    marked: str
    after: str
    """The sentence, with the size in the middle."""
    part: str
    row: str
    """Where the row stands: "row 4 of parts.csv, sheet 2"."""
    cells: tuple[Cell, ...]
    why: str
    likely: str
    sure: str
    moves: tuple[str, ...]
    runners: tuple[str, ...]
    evidence: tuple[str, ...]
    options: tuple[Option, ...]
    status: str
    is_open: bool
    note: str
    value: str
    """As typed, where it could not be read or is the answer."""
    new_part: str
    new_dimension: str
    parts: tuple[str, ...]
    dimensions: tuple[str, ...]
    outcome: str
    """What goes out as it is settled now."""
    next_id: str
    previous_id: str


class TakenOut(Struct, frozen=True, kw_only=True):
    """A caution or a promise that was said in a take, and that the edit took out of the cut."""

    number: int
    kind: str
    text: str
    where: str
    """The take, and when in it."""
    clip: Clip | None
    answer: str
    """open, notes or leave."""


class SettlePage(Struct, frozen=True, kw_only=True):
    """The first look, and the ticket on top."""

    frame: Frame
    open: tuple[Line, ...]
    done: tuple[Line, ...]
    ticket: Ticket | None
    notes: str
    """The show notes as HTML that is finished."""
    paste: str
    """The text for the video's description."""
    paste_length: int
    coverage: str
    taken_out: tuple[TakenOut, ...]
    orphans: tuple[str, ...]


class ChapterLine(Struct, frozen=True, kw_only=True):
    """One chapter."""

    number: int
    title: str
    time: str
    lasts: str
    clip: Clip | None
    mine: bool
    here: bool
    too_short: bool


class Start(Struct, frozen=True, kw_only=True):
    """A sentence at which a chapter can begin."""

    utterance: int
    time: str
    text: str
    clip: Clip | None
    here: bool
    """The chapter begins here now."""


class GlancePage(Struct, frozen=True, kw_only=True):
    """The whole episode in one picture, and the chapters."""

    frame: Frame
    picture: str
    """SVG that is finished."""
    waiting: bool
    """The loudness is still being read."""
    coverage: str
    chapters: tuple[ChapterLine, ...]
    around: tuple[Start, ...]
    """Sentences near the beginning of the chapter that is open."""
    inside: tuple[Start, ...]
    """Sentences within it, to split at."""
    limit: int
    """Characters that a title may have."""


class TalkWord(Struct, frozen=True, kw_only=True):
    """One word of the transcript."""

    number: int
    text: str
    mark: str
    """size, edited, repaired, unsure or nothing."""
    about: str
    """What the mark says."""


class Sentence(Struct, frozen=True, kw_only=True):
    """One sentence of the transcript."""

    number: int
    time: str
    clip: Clip | None
    words: tuple[TalkWord, ...]
    sizes: tuple[str, ...]
    """As read."""
    mistake: bool


class Struck(Struct, frozen=True, kw_only=True):
    """A stretch off the record."""

    row: int
    text: str


class TalkPage(Struct, frozen=True, kw_only=True):
    """The transcript, one chapter at a time."""

    frame: Frame
    chapters: tuple[ChapterLine, ...]
    sentences: tuple[Sentence, ...]
    struck: tuple[Struck, ...]


class Item(Struct, frozen=True, kw_only=True):
    """One line of a list."""

    number: int
    name: str
    text: str
    part: str
    time: str
    clip: Clip | None
    mine: bool
    pictures: tuple[Picture, ...] = ()
    picture: str = ""
    """Which picture it has: found, none, or the number of the one picked."""


class Picture(Struct, frozen=True, kw_only=True):
    """A still to pick."""

    number: int
    about: str
    """When it is, in words."""


class Gone(Struct, frozen=True, kw_only=True):
    """A line that was struck out."""

    row: int
    name: str


class Group(Struct, frozen=True, kw_only=True):
    """One list."""

    kind: str
    title: str
    items: tuple[Item, ...]
    gone: tuple[Gone, ...]


class ListsPage(Struct, frozen=True, kw_only=True):
    """Tools, materials, cautions, steps."""

    frame: Frame
    groups: tuple[Group, ...]
    part_names: tuple[str, ...]


class OutPage(Struct, frozen=True, kw_only=True):
    """What goes out."""

    frame: Frame
    show: str
    """notes, guide or captions."""
    paste: str
    paste_length: int
    guide: str
    """The guide as HTML that is finished; empty unless it is shown."""
    captions: str
    names: tuple[str, ...]
    """The files in out/."""
    folder: str


class Leaf(Struct, frozen=True, kw_only=True):
    """One preview alone."""

    show: str
    notes: str
    """The show notes as HTML that is finished; empty unless they are shown."""
    guide: str
    captions: str
