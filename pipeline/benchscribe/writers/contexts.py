"""What each template may use: one frozen record a template, every name documented. A test proves that documented and used are the same.

All text here is as it was said, listed or typed; the template's own escaping makes it safe for Markdown, HTML or plain text.
"""

from __future__ import annotations

from msgspec import Struct


class Entry(Struct, frozen=True, kw_only=True):
    """A line with its time: a tool, a material, a promise, a correction, a chapter."""

    text: str
    """The line itself, without its time."""
    detail: str = ""
    """What belongs to it: size, kind, reason."""
    time: str = ""
    """When, as people read it; empty where there is no time."""
    link: str = ""
    """Address of that moment; empty where the video has none."""


class Caution(Struct, frozen=True, kw_only=True):
    """What can hurt, said plainly, with its published source."""

    name: str
    """The tool, stuff or job; empty for a warning that names none."""
    text: str
    """The usual caution."""
    source: str
    """Where it is published; empty where the maker's own words are all there is."""
    said: bool
    """The maker gave the warning out loud."""
    time: str = ""
    """When it came up."""
    link: str = ""
    """Address of that moment."""


class Size(Struct, frozen=True, kw_only=True):
    """One value, with where it comes from."""

    what: str
    """Which dimension."""
    text: str
    """The value, written as the trade does; empty where the plan leaves it blank."""
    other: str
    """The same in the other system of units, rounded once; empty for angles and blanks."""
    origin: str
    """Where the value comes from, in words."""
    was: str = ""
    """The plan's value, where it was corrected or changed."""
    struck: bool = False
    """The plan's value is wrong and is struck out; a change of the maker's own leaves it standing beside."""
    check: bool = False
    """An open finding stands against it."""


class Row(Struct, frozen=True, kw_only=True):
    """A part's row in the cut list."""

    part: str
    """Name of the part."""
    anchor: str
    """Anchor of the part's section; empty where it has none."""
    count: str
    """How many; empty where nobody says."""
    material: str
    """What it is made of, as listed."""
    sheet: str
    """Sheet of the plan."""
    notes: str
    """Notes of the list."""
    sizes: tuple[Size, ...]
    """Its sizes in the list's order."""


class StepView(Struct, frozen=True, kw_only=True):
    """One step as it is shown."""

    number: int
    """Counted over the whole guide, in the order of the episode."""
    title: str
    """The operation."""
    text: str
    """In the maker's own words."""
    time: str
    """When it is shown."""
    link: str
    """Address of that moment."""
    tools: str
    """Tools, joined."""
    setting: str
    """Setting of the machine."""
    back: int
    """Number of the step that shows the same; 0 where there is none."""
    sizes: tuple[Size, ...]
    """Sizes said in it."""
    cautions: tuple[Caution, ...]
    """What can hurt here; each caution stands once, at its first step."""
    still: str
    """Picture of the step: file name beside the guide, or data in the page itself."""


class AngleView(Struct, frozen=True, kw_only=True):
    """An angle both ways, with where the lines of its drawing end (a drawing of 100 by 90, corner at 10, 80)."""

    drawing: str
    """From the drawing's face."""
    machine: str
    """On a scale that calls square 0: worked out, 90 less the drawing's."""
    check: bool
    """An open finding stands against it."""
    degrees: float
    """The drawing's angle as a number."""
    x: float
    """End of the slanted line, across."""
    y: float
    """End of the slanted line, down."""
    arc_x: float
    """Where the two arcs meet on the slanted line, across."""
    arc_y: float
    """Where the two arcs meet on the slanted line, down."""


class Section(Struct, frozen=True, kw_only=True):
    """A part with all that is done to it, or the steps that belong to no single part."""

    name: str
    """Name of the part; empty for steps of no part."""
    anchor: str
    """Its anchor on the page."""
    row: Row | None
    """Its row in the cut list, where there is one."""
    steps: tuple[StepView, ...]
    """In the order of the episode."""
    watch_outs: tuple[Entry, ...]
    """What went wrong on camera, so that it need not go wrong again."""
    angles: tuple[AngleView, ...] = ()
    """Angles both ways: the drawing's and the machine's."""
    marks: tuple[Entry, ...] = ()
    """Layout marks, holes and grooves that no row of the list gives and no step tells, with the words they were said in."""


class Setup(Struct, frozen=True, kw_only=True):
    """One setting of a fence, stop or blade, and all that is run at it."""

    setting: str
    """As said, or the size that several parts share."""
    uses: tuple[Entry, ...]
    """Steps run at it, in order; for a shared size, the parts."""


class Stock(Struct, frozen=True, kw_only=True):
    """What to buy."""

    material: str
    """What it is."""
    buy: str
    """The stock to ask for."""
    detail: str
    """Pieces, area, length, and from which parts."""
    check: bool
    """An open finding may change it."""


class NotesContext(Struct, frozen=True, kw_only=True):
    """`show-notes.md.j2` and `description.txt.j2`."""

    title: str
    """Title of the episode."""
    before: str
    """The maker's own text before the notes, verbatim."""
    after: str
    """The maker's own text after the notes, verbatim."""
    draft: str
    """The draft line; empty when the times are public."""
    summary: str
    """One line on what the episode holds."""
    chapters: tuple[Entry, ...]
    """Chapters, with or without times."""
    on_the_plan: tuple[Entry, ...]
    """Corrections of the plan."""
    in_this_video: tuple[Entry, ...]
    """Corrections of what is said or done in the video, and the maker's own changes."""
    tools: tuple[Entry, ...]
    """Tools used."""
    materials: tuple[Entry, ...]
    """Materials and hardware."""
    promises: tuple[Entry, ...]
    """What is put off to a later episode."""
    cautions: tuple[Entry, ...] = ()
    """Warnings that the edit took out of the video, and that the maker put in the notes."""
    credit: str
    """Whose plan, and which edition."""


class GuideContext(Struct, frozen=True, kw_only=True):
    """`guide.md.j2` and `guide.html.j2`, and as data the Typst template."""

    title: str
    """Title of the episode."""
    kicker: str
    """Build, episode number and date."""
    shop: bool
    """The maker's own copy, with the full part list."""
    draft: str
    """The draft line; empty when the times are public."""
    open_line: str
    """How many findings are open; empty where none is."""
    credit: str
    """Whose plan, and which edition."""
    summary: str
    """One line on what the episode holds."""
    units: str
    """What a size without a unit means here, and how that was settled."""
    version: str
    """Number and date of this version of the guide; empty where there is none."""
    since: str
    """The version before, that `changed` is told against; empty where this is the first."""
    changed: tuple[str, ...]
    """What a builder who has that one needs to change."""
    on_the_plan: tuple[Entry, ...]
    """Corrections of the plan."""
    in_this_video: tuple[Entry, ...]
    """Corrections of what is said or done in the video, and the maker's own changes."""
    cautions: tuple[Caution, ...]
    """Every caution once, gathered."""
    rows: tuple[Row, ...]
    """The cut list."""
    dimensions: tuple[str, ...]
    """Dimensions that the cut list has sizes for, as columns."""
    has_counts: bool
    """The cut list tells how many of a part."""
    has_materials: bool
    """The cut list tells what a part is made of."""
    stock: tuple[Stock, ...]
    """What to buy."""
    tools: tuple[Entry, ...]
    """Tools used."""
    materials: tuple[Entry, ...]
    """Materials."""
    hardware: tuple[Entry, ...]
    """Screws, hinges and the like."""
    sections: tuple[Section, ...]
    """Parts in the order in which they are first worked on."""
    setups: tuple[Setup, ...]
    """Settings that more than one step is run at."""
    watch_outs: tuple[Entry, ...]
    """What went wrong where no part was in hand."""
    promises: tuple[Entry, ...]
    """What is put off to a later episode."""
    made_by: str
    """Name and version of the program."""


class ReviewItem(Struct, frozen=True, kw_only=True):
    """A finding, for the maker."""

    number: int
    """The number that `benchscribe findings` knows it by."""
    head: str
    """Kind, part and dimension."""
    said: str
    """Value said."""
    listed: str
    """Value listed."""
    time: str
    """Where to listen: file and time."""
    again: str
    """Further times at which the same was said."""
    sentence: str
    """What was said."""
    why: str
    """Why it is a finding."""
    likely: str
    """Who is probably right, and why."""
    advice: str
    """What to do."""
    sure: str
    """How sure, in words."""


class ReviewContext(Struct, frozen=True, kw_only=True):
    """`for-review.md.j2`."""

    title: str
    """Title of the episode."""
    draft: str
    """The draft line; empty when the times are public."""
    coverage: str
    """How much of the part list was heard."""
    open: tuple[ReviewItem, ...]
    """Findings to settle, surest first within their kind."""
    published: tuple[ReviewItem, ...]
    """What goes out."""
    gaps: tuple[Entry, ...]
    """Stretches that could not be read."""
    ambiguous: tuple[Entry, ...]
    """Sizes that can be read in more than one way."""
    repairs: tuple[Entry, ...]
    """Trade words that were heard as other words."""
    cells: tuple[Entry, ...]
    """Cells of the part list that were not understood."""
    unheard_parts: tuple[str, ...]
    """Parts that were never mentioned."""
    unheard_sizes: tuple[str, ...]
    """Sizes that were never said, one line a part."""
    orphans: tuple[str, ...]
    """Decisions that fit nothing in this run."""
    not_in_cut: tuple[Entry, ...] = ()
    """Corrections, cautions and promises that were said in a take and that the published cut does not have."""


class SheetMark(Struct, frozen=True, kw_only=True):
    """One thing to mark on the plan."""

    part: str
    """Name of the part."""
    what: str
    """Which dimension."""
    plan: str
    """What stands on the plan; empty where it is blank."""
    right: str
    """What to write."""
    note: str
    """How it was found, what moves with it, and the maker's note."""


class SheetGroup(Struct, frozen=True, kw_only=True):
    """All that is to be marked on one sheet."""

    sheet: str
    """Name of the sheet; empty where the list names none."""
    marks: tuple[SheetMark, ...]
    """In order of time."""


class SheetContext(Struct, frozen=True, kw_only=True):
    """As data the Typst template `corrections-sheet.typ`."""

    title: str
    """Title of the document."""
    plan: str
    """Whose plan, and which edition."""
    draft: str
    """The draft line; empty when the times are public."""
    open_line: str
    """How many findings are open; empty where none is."""
    groups: tuple[SheetGroup, ...]
    """By sheet, in the order of their names."""
    source: str
    """Which episode it is from."""
