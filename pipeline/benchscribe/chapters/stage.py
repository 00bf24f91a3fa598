"""Cut the talk into chapters and name them."""

from __future__ import annotations

from msgspec.structs import replace

from benchscribe.chapters.blocks import Block, end_clock, make_blocks
from benchscribe.chapters.cut import best_cut, usual_number
from benchscribe.chapters.titles import make_titles
from benchscribe.records import Chapter, Finding, InHand, Mentions, Transcript

AMOUNTS = {"few": 0.6, "some": 1.0, "many": 1.5}
"""What `--chapters few|some|many` makes of the usual number."""


def cut_chapters(
    transcript: Transcript,
    mentions: Mentions,
    in_hand: tuple[InHand, ...],
    findings: tuple[Finding, ...],
    *,
    how_many: str | int = "some",
) -> tuple[Chapter, ...]:
    """Cut an episode into chapters.

    Hard limits, the usual rule of video platforms for chapter lists: the first at 0:00, ascending, each ten seconds or longer, at
    least three where the episode is long enough. Headings that the maker wrote in notes are kept as the chapters; one
    heading over all of them is the title.

    Args:
        transcript: What was said.
        mentions: Parts, operations and mistakes that were found in it.
        in_hand: The part in hand, by utterance; empty where there is no part list.
        findings: What the maker must know; a declared correction shows in the title.
        how_many: "few", "some" or "many", or a count.

    Returns:
        Chapters in order, covering every word; empty for an empty transcript. Times are None where the transcript has none.

    Raises:
        ValueError: `how_many` is no such word and no count above zero.
    """
    number, amount = _amount(how_many)
    blocks = _untitled(make_blocks(transcript, mentions, in_hand))
    if not blocks:
        return ()
    if any(block.heading for block in blocks):
        cut = _headed(blocks)
    else:
        end = end_clock(transcript, blocks)
        cut = best_cut(blocks, end, number=number, target=amount * usual_number(end))
    titles = make_titles(transcript, blocks, cut, mentions, findings)
    ends = [*cut[1:], len(blocks)]
    last_end = max((u.end_s for u in transcript.utterances if u.end_s is not None), default=None)
    starts = [blocks[i].start_s for i in cut]
    if starts[0] is not None:
        starts[0] = 0.0
    return tuple(
        Chapter(
            title=title.text,
            span=(blocks[begin].span[0], blocks[end - 1].span[1]),
            part=title.part,
            why=title.why,
            start_s=start,
            end_s=after,
        )
        for title, begin, end, start, after in zip(
            titles, cut, ends, starts, [*starts[1:], last_end], strict=True
        )
    )


def _amount(how_many: str | int) -> tuple[int | None, float]:
    if isinstance(how_many, str) and how_many.isdigit():
        how_many = int(how_many)
    if isinstance(how_many, int):
        if how_many < 1:
            raise ValueError(f"{how_many} is no number of chapters; give one or more, or few, some, many")
        return how_many, 1.0
    if how_many not in AMOUNTS:
        raise ValueError(f"{how_many!r} is no number of chapters; known: {', '.join(AMOUNTS)}, or a count")
    return None, AMOUNTS[how_many]


def _untitled(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    """Take away the one heading that stands over all of the notes: it names them, and divides nothing."""
    written = {block.heading for block in blocks if block.heading}
    if len(written) != 1 or not blocks[0].heading:
        return blocks
    return tuple(replace(block, heading="") for block in blocks)


def _headed(blocks: tuple[Block, ...]) -> list[int]:
    """Give the blocks at which the maker's heading changes; the first block always opens a chapter."""
    opened, current = [0], blocks[0].heading
    for index, block in enumerate(blocks[1:], start=1):
        if block.heading and block.heading != current:
            opened.append(index)
            current = block.heading
    return opened
