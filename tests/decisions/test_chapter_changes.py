"""The maker's chapters: other titles and beginnings, joined and split, through runs that find other chapters."""

from __future__ import annotations

from talk_samples import talk

from benchscribe.decisions import apply_chapters
from benchscribe.decisions.tables import ChapterChange
from benchscribe.records import Chapter, Transcript

LINES = tuple(f"This is what I say as number {word} while I work along the bench here today." for word in
              "one two three four five six seven eight nine ten eleven twelve".split())  # fmt: skip


def found(told: Transcript, *starts: int) -> tuple[Chapter, ...]:
    """Make chapters that begin with these sentences."""
    ends = [*starts[1:], len(told.utterances)]
    return tuple(
        Chapter(
            title=f"Found {a}",
            span=(told.utterances[a].span[0], told.utterances[b - 1].span[1]),
            start_s=0.0 if a == 0 else told.utterances[a].start_s,
            end_s=told.utterances[b - 1].end_s,
        )
        for a, b in zip(starts, ends, strict=True)
    )


def change(told: Transcript, sentence: int, **more: object) -> ChapterChange:
    """Make the table about the chapter that begins with a sentence."""
    u = told.utterances[sentence]
    return ChapterChange(
        sentence=told.text(u.span), file=told.files[0].name, at=u.start_s, start=u.start_s, **more  # type: ignore[arg-type]
    )  # fmt: skip


def to(told: Transcript, sentence: int) -> dict[str, object]:
    """Give the keys for the sentence that a chapter begins with instead."""
    u = told.utterances[sentence]
    return {
        "to_sentence": told.text(u.span),
        "to_file": told.files[0].name,
        "to_at": u.start_s,
        "to_start": u.start_s,
    }


def settled(
    told: Transcript, chapters: tuple[Chapter, ...], *changes: ChapterChange
) -> list[tuple[str, float | None]]:
    """Give titles and starts after the changes."""
    done = apply_chapters(chapters, told, changes)
    assert done.orphaned == ()
    assert done.chapters[0].span[0] == 0
    assert done.chapters[-1].span[1] == len(told.words)
    assert all(
        a.span[1] == b.span[0] and a.end_s == b.start_s
        for a, b in zip(done.chapters, done.chapters[1:], strict=False)
    )
    return [(c.title, c.start_s) for c in done.chapters]


def test_without_changes_the_chapters_stay_as_they_are() -> None:
    told = talk(LINES)
    chapters = found(told, 0, 4, 8)
    assert apply_chapters(chapters, told, ()).chapters == chapters


def test_a_title_is_the_makers_own() -> None:
    told = talk(LINES)
    assert (
        settled(told, found(told, 0, 4, 8), change(told, 4, title="The long rail"))[1][0] == "The long rail"
    )


def test_the_first_chapter_keeps_its_beginning_and_may_have_another_title() -> None:
    told = talk(LINES)
    result = settled(told, found(told, 0, 4), change(told, 0, title="Hello", **to(told, 2)))
    assert result[0] == ("Hello", 0.0)


def test_a_chapter_begins_where_it_is_moved_to() -> None:
    told = talk(LINES)
    result = settled(told, found(told, 0, 4, 8), change(told, 4, **to(told, 6)))
    assert result[1] == ("Found 4", told.utterances[6].start_s)


def test_a_chapter_joined_to_the_one_before_is_gone() -> None:
    told = talk(LINES)
    result = settled(told, found(told, 0, 4, 8), change(told, 4, begins=False))
    assert [title for title, _ in result] == ["Found 0", "Found 8"]


def test_a_chapter_is_split_where_the_maker_says() -> None:
    told = talk(LINES)
    result = settled(told, found(told, 0, 6), change(told, 3, begins=True, title="Mine"))
    assert result == [
        ("Found 0", 0.0),
        ("Mine", told.utterances[3].start_s),
        ("Found 6", told.utterances[6].start_s),
    ]


def test_a_found_chapter_too_near_to_one_of_the_makers_gives_way() -> None:
    told = talk(LINES, pause_s=0.2)
    assert (told.utterances[5].start_s or 0) - (told.utterances[4].start_s or 0) < 10
    result = settled(told, found(told, 0, 5), change(told, 4, begins=True, title="Mine"))
    assert [title for title, _ in result] == ["Found 0", "Mine"]


def test_changes_hold_where_another_model_cuts_a_sentence_later() -> None:
    told = talk(LINES)
    other = talk([line.lower().replace("bench", "branch") for line in LINES], start_s=10.6)
    changes = (change(told, 4, title="The long rail"), change(told, 8, begins=False))
    result = settled(other, found(other, 0, 5, 8), *changes)
    assert [title for title, _ in result] == ["Found 0", "The long rail"]


def test_a_change_to_a_chapter_that_is_not_found_any_more_is_reported() -> None:
    told = talk(LINES)
    done = apply_chapters(found(told, 0, 2), told, (change(told, 9, title="Last"),))
    assert len(done.orphaned) == 1
    assert "Last" in done.orphaned[0]


def test_a_chapter_that_is_not_found_any_more_needs_no_joining() -> None:
    told = talk(LINES)
    assert apply_chapters(found(told, 0, 2), told, (change(told, 9, begins=False),)).orphaned == ()


def test_two_changes_each_go_to_a_chapter_of_their_own() -> None:
    told = talk(LINES)
    result = settled(told, found(told, 0, 4, 8), change(told, 4, title="A"), change(told, 8, title="B"))
    assert [title for title, _ in result] == ["Found 0", "A", "B"]
