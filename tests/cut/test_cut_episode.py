"""An episode folder with takes and a published cut, from the files in it to the files that are written."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from benchscribe.decisions import load_decisions, record_decision, record_taken_out
from benchscribe.main_job import write_episodes
from benchscribe.records import EpisodeRecord, from_json
from benchscribe.settle import run_findings

if TYPE_CHECKING:
    from pathlib import Path

PARTS = "Part,Qty,Thickness,Width,Length\nSide,2,3/4,8,30\nShelf,3,3/4,7 1/4,22 1/2\nBack,1,1/4,22 1/2,30\n"
WELCOME = "Welcome back to the shop, this week the wall cabinet gets its carcass."
SHELF = "Right, the shelf. It's 22 and a half inches long and I cut all three of them on the crosscut sled."
BLADE = "Keep your fingers away from the blade of the table saw and use a push stick for the narrow ones."
WRONG = "Now the sides. The list says the sides are 30 inches long and that's wrong, they need to be 31 inches long."
BACK = "Now the back panel. The back is a quarter inch plywood and I make it 22 and a quarter inches wide."
GLUE = "Spread the glue thinly, bring the clamps up slowly and check the diagonals before it grabs."
LATER = "I'll show you how to hang the doors in the next episode, when the hinges have come."
BYE = "That's it for this week, thanks for watching and see you at the bench."
TAKES = (WELCOME, SHELF, BLADE, WRONG, BACK, GLUE, LATER, BYE)
OVER = "One thing I forgot at the bench. The list says the sides are 8 inches wide and that's wrong, the sides need to be 9 inches wide."


def stamp(seconds: float) -> str:
    return f"{int(seconds // 3600):02}:{int(seconds % 3600 // 60):02}:{seconds % 60:06.3f}"


def captions(sentences: tuple[str, ...]) -> str:
    """Date sentences at three words a second, a second between two."""
    lines, at = ["WEBVTT", ""], 0.0
    for sentence in sentences:
        end = at + len(sentence.split()) / 3
        lines += [f"{stamp(at)} --> {stamp(end)}", sentence, ""]
        at = end + 1
    return "\n".join(lines)


def begins(sentences: tuple[str, ...], sentence: str) -> float:
    return sum(len(s.split()) / 3 + 1 for s in sentences[: sentences.index(sentence)])


@pytest.fixture
def episode(tmp_path: Path) -> Path:
    folder = tmp_path / "build" / "episodes" / "01"
    folder.mkdir(parents=True)
    (tmp_path / "build" / "build.toml").write_text('title = "Wall cabinet"\n')
    (tmp_path / "build" / "parts.csv").write_text(PARTS)
    (folder / "take-1.vtt").write_text(captions(TAKES[:4]))
    (folder / "take-2.vtt").write_text(captions(TAKES[4:]))
    return folder


def written(folder: Path, *cut: str) -> EpisodeRecord:
    if cut:
        (folder / "cut.vtt").write_text(captions(cut))
    else:
        (folder / "cut.vtt").unlink(missing_ok=True)
    write_episodes((folder,), {"quiet": True})
    return from_json((folder / "out" / "record.json").read_bytes())


def about(record: EpisodeRecord, dimension: str, part: str) -> list[tuple[str, float | None, str | None]]:
    return [
        (f.kind, f.start_s, f.file) for f in record.findings if (f.part, f.dimension) == (part, dimension)
    ]


def test_a_correction_stands_at_its_time_in_the_cut(episode: Path) -> None:
    cut = (WRONG, WELCOME, SHELF, BACK, GLUE, BYE)
    record = written(episode, *cut)
    assert (record.draft, record.transcript.clock) == (False, "cut")
    ((kind, start, file),) = about(record, "length", "Side")
    assert (kind, file) == ("plan-wrong", "cut.vtt")
    assert start is not None
    assert 0 <= start < begins(cut, WELCOME)


def test_a_correction_that_was_spoken_over_the_cut_is_found(episode: Path) -> None:
    cut = (WELCOME, SHELF, WRONG, OVER, BACK, GLUE, BYE)
    ((kind, start, file),) = about(written(episode, *cut), "width", "Side")
    assert (kind, file) == ("plan-wrong", "cut.vtt")
    assert start is not None
    assert begins(cut, OVER) <= start < begins(cut, BACK)


def test_what_the_edit_took_out_is_asked_about_with_its_take(episode: Path) -> None:
    record = written(episode, WELCOME, SHELF, BACK, GLUE, BYE)
    assert {(n.kind, n.file) for n in record.not_in_cut} == {
        ("correction", "take-1.vtt"),
        ("caution", "take-1.vtt"),
        ("promise", "take-2.vtt"),
    }
    review = (episode / "out" / "for-review.md").read_text()
    assert "not in the cut" in review
    assert re.search(r"\d: correction, take-1\.vtt 0:\d\d: ", review)


def test_a_correction_that_the_edit_took_out_goes_out_only_when_the_maker_says_so(episode: Path) -> None:
    record = written(episode, WELCOME, SHELF, BACK, GLUE, BYE)
    (finding,) = [f for f in record.findings if f.kind == "plan-wrong"]
    assert (finding.status, finding.start_s) == ("open", None)
    assert re.fullmatch(
        r"The correction at take-1\.vtt 0:\d\d is not in the cut: put it in the notes\?", finding.advice
    )
    assert "31 in" not in (episode / "out" / "show-notes.md").read_text()
    record_decision(episode / "decisions.toml", finding, "accept")
    record = written(episode, WELCOME, SHELF, BACK, GLUE, BYE)
    assert [f.status for f in record.findings if f.kind == "plan-wrong"] == ["accepted"]
    assert "make it 31 in" in (episode / "out" / "show-notes.md").read_text()


def test_a_caution_and_a_promise_that_the_edit_took_out_are_answered_on_the_terminal(
    episode: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = written(episode, WELCOME, SHELF, WRONG, BACK, GLUE, BYE)
    (caution, promise) = record.not_in_cut
    first = len([f for f in record.findings if f.right is not True]) + 1
    run_findings(episode, {})
    listed = capsys.readouterr().out
    assert re.search(rf"{first}\s+caution, take-1\.vtt 0:13: .*put it in the\s+notes\?", listed, re.DOTALL)
    assert f" of {first + 1} settled" in listed
    notes = episode / "out" / "show-notes.md"
    assert "push stick" not in notes.read_text().replace("Push stick", "")
    run_findings(episode, {"accept": first})
    run_findings(episode, {"accept": first + 1})
    text = notes.read_text()
    assert caution.text in text
    assert promise.text in text
    assert "take-" not in text
    run_findings(episode, {"dismiss": first + 1})
    assert promise.text not in notes.read_text()
    assert len(load_decisions(episode / "decisions.toml").taken_out) == 2


def test_answers_about_what_was_taken_out_wait_while_it_is_in_the_cut(episode: Path) -> None:
    record = written(episode, WELCOME, SHELF, WRONG, BACK, GLUE, BYE)
    record_taken_out(episode / "decisions.toml", record.not_in_cut[0], "dismiss")
    back = written(episode, *TAKES)
    assert (back.not_in_cut, back.orphaned_decisions) == ((), ())
    again = written(episode, WELCOME, SHELF, WRONG, BACK, GLUE, BYE)
    assert [n.answer for n in again.not_in_cut] == ["leave", "open"]


def test_no_public_file_names_a_take_or_calls_itself_a_draft(episode: Path) -> None:
    written(episode, WELCOME, SHELF, BACK, GLUE, BYE)
    public = (
        "show-notes.md",
        "description.txt",
        "chapters.vtt",
        "captions.vtt",
        "corrections.csv",
        "overlays.csv",
    )
    for name in public:
        path = episode / "out" / name
        text = path.read_text() if path.exists() else ""
        assert "take-" not in text, name
        assert "draft: times" not in text.lower(), name


def test_the_captions_are_those_of_the_cut(episode: Path) -> None:
    cut = (BACK, SHELF, OVER, BYE)
    written(episode, *cut)
    text = " ".join(
        re.sub(r"(?m)^(WEBVTT|\d+|.*-->.*)$", "", (episode / "out" / "captions.vtt").read_text()).split()
    )
    assert text.index("back panel") < text.index("shelf") < text.index("forgot at the bench")
    assert "diagonals" not in text
    assert "22 1/2 inches long" in text


def test_chapters_lie_in_the_cut(episode: Path) -> None:
    record = written(episode, WELCOME, SHELF, BACK, GLUE, BYE)
    end = record.transcript.words[-1].end_s or 0.0
    assert record.chapters[0].start_s == 0.0
    assert all(c.file == "cut.vtt" and (c.end_s or 0.0) <= end for c in record.chapters)


def test_decisions_made_on_the_takes_hold_in_the_cut_and_back(episode: Path) -> None:
    decisions = episode / "decisions.toml"
    for answer, finding in zip(
        ("dismiss", "accept", "dismiss", "accept"), written(episode).findings, strict=False
    ):
        record_decision(decisions, finding, answer)
    made = len(load_decisions(decisions).decision)
    assert made >= 2
    settled = {f.id: f.status for f in written(episode).findings}
    in_cut = written(episode, WELCOME, SHELF, WRONG, BACK, GLUE, BYE)
    assert {f.id: f.status for f in in_cut.findings} == settled
    assert in_cut.orphaned_decisions == ()
    for finding in in_cut.findings:
        record_decision(decisions, finding, "accept", note="said in the cut")
    assert len(load_decisions(decisions).decision) == made
    back = written(episode)
    assert back.draft
    assert back.orphaned_decisions == ()
    assert {f.note for f in back.findings} == {"said in the cut"}


def test_takes_have_markers_and_a_cut_has_a_picture(episode: Path) -> None:
    out = episode / "out"
    written(episode)
    assert {"markers.csv", "markers-take-1.vtt"} <= {p.name for p in out.iterdir()}
    assert not (out / "cut-map.svg").exists()
    written(episode, WELCOME, SHELF, BACK, GLUE, BYE)
    assert "take-2.vtt" in (out / "cut-map.svg").read_text()


def test_of_two_tries_in_the_takes_only_the_later_one_counts(episode: Path) -> None:
    first = "Now the back panel, the back is a quarter inch thick and I make it 20 inches wide."
    (episode / "take-2.vtt").write_text(
        captions((first, "Sorry, let me say that again.", first.replace("20", "22 1/2"), GLUE))
    )
    record = written(episode)
    assert [
        (str(m.value), m.role, m.verdict)
        for m in record.measures
        if m.dimension == "width" and m.part == "Back"
    ][-1:] == [("45/2", "finished", "agrees")]
    assert [f for f in about(record, "width", "Back") if f[0] in ("slip", "contradiction")] == []
    assert any("let me say that again" in m.text for m in record.mistakes)


def test_nothing_of_a_superseded_try_is_found_wherever_it_was_said_again(episode: Path) -> None:
    first = WRONG.replace("31", "33")
    shelf = SHELF.replace("22 and a half", "21 and a half")
    (episode / "take-1.vtt").write_text(
        captions((WELCOME, shelf, BLADE, first, "Sorry, let me say that again.", WRONG))
    )
    (episode / "take-2.vtt").write_text(captions(("Pick-up for the shelf.", SHELF, BACK, GLUE, BYE)))
    record = written(episode)
    assert [
        (str(m.value), m.part) for m in record.measures if m.part == "Shelf" and m.role == "finished"
    ] == [("45/2", "Shelf")]
    assert [(f.kind, str(f.spoken and f.spoken.value)) for f in record.findings if f.part == "Side"] == [
        ("plan-wrong", "31")
    ]
    assert [f for f in record.findings if f.part == "Shelf"] == []
    assert not [step for step in record.steps if "33 in" in step.text or "21 1/2" in step.text]
    assert [m.why for m in record.mistakes] == [
        "said again in take-2.vtt at 0:02",
        "said again at 0:32",
        "announces what is said again",
    ]
    assert "pickup" not in (episode / "out" / "show-notes.md").read_text().lower()


def test_a_cut_of_other_takes_is_the_episode_by_itself(episode: Path) -> None:
    other = (
        "This bowl is turned from a wet log and it will move while it dries, so the wall stays thick for now.",
        "Mount it between centres, rough the outside round and leave a tenon for the chuck on the foot.",
    )
    record = written(episode, *other)
    assert record.transcript.clock == "cut"
    assert record.cut_pieces == ()
    assert not record.draft
    assert about(record, "length", "Side") == []
