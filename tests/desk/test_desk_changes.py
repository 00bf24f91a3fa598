"""Chapters, talk and lists changed from the page; undo; changes made elsewhere meanwhile."""

from __future__ import annotations

import re
from pathlib import Path

from desk_build import make_build
from desk_client import Client

from benchscribe.decisions import load_decisions
from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk, Snapshot
from benchscribe.episode import make_record

OUTPUTS = ("description.txt", "show-notes.md", "guide.md", "guide.html", "captions.vtt", "chapters.vtt", "record.json", "for-review.md")  # fmt: skip


def starts(now: Snapshot) -> list[float | None]:
    """Give when the chapters begin."""
    return [c.start_s for c in now.record.chapters]


def sentence(now: Snapshot, words: str) -> int:
    """Give the number of the sentence with these words."""
    told = now.record.transcript
    return next(n for n, u in enumerate(told.utterances) if words in told.text(u.span))


def word(now: Snapshot, text: str) -> int:
    """Give the number of the first such word."""
    return next(n for n, w in enumerate(now.record.transcript.words) if w.text.strip(".,") == text)


# --- chapters ---


def test_a_chapter_is_renamed(client: Client) -> None:
    client.do("chapter-title", chapter=2, title="The tray floor, put right")
    assert client.desk.now().record.chapters[1].title == "The tray floor, put right"
    assert "The tray floor, put right" in client.out("chapters.vtt")


def test_a_title_that_is_too_long_or_empty_is_refused(client: Client) -> None:
    for title in ("x" * 101, " "):
        assert client.do("chapter-title", chapter=2, title=title).status_code == 422
    assert not client.desk.path.exists()


def test_a_chapter_is_moved_and_keeps_its_new_title(client: Client) -> None:
    now = client.desk.now()
    there = sentence(now, "Okay next up")
    client.do("chapter-title", chapter=2, title="Floor")
    client.do("chapter-move", chapter=2, utterance=there)
    after = client.settled()
    assert starts(after)[1] == now.record.transcript.utterances[there].start_s
    assert after.record.chapters[1].title == "Floor"
    assert len(load_decisions(client.desk.path).chapter) == 1


def test_a_chapter_moved_back_is_where_it_was(client: Client) -> None:
    before = client.desk.now()
    began = before.settled.chapters.begins[1].utterance
    client.do("chapter-move", chapter=2, utterance=began + 1)
    assert starts(client.desk.now()) != starts(before)
    client.do("chapter-move", chapter=2, utterance=began)
    assert starts(client.settled()) == starts(before)


def test_chapters_are_joined_and_split_again(client: Client) -> None:
    before = client.desk.now()
    client.do("chapter-join", chapter=2)
    assert len(client.desk.now().record.chapters) == len(before.record.chapters) - 1
    there = before.settled.chapters.begins[1].utterance
    client.do("chapter-split", chapter=1, utterance=there, title="Again")
    after = client.settled()
    assert starts(after) == starts(before)
    assert after.record.chapters[1].title == "Again"


def test_a_chapter_of_the_makers_own_is_moved_renamed_and_taken_away(client: Client) -> None:
    now = client.desk.now()
    there = sentence(now, "Then the long rails")
    client.do("chapter-split", chapter=1, utterance=there, title="Grooves")
    client.do("chapter-move", chapter=2, utterance=there + 2)
    client.do("chapter-title", chapter=2, title="More")
    after = client.settled()
    assert (after.record.chapters[1].title, starts(after)[1]) == ("More", now.record.transcript.utterances[there + 2].start_s)  # fmt: skip
    client.do("chapter-join", chapter=2)
    assert starts(client.settled()) == starts(now)
    assert load_decisions(client.desk.path).chapter == ()


def test_the_first_chapter_is_neither_moved_nor_joined(client: Client) -> None:
    assert client.do("chapter-move", chapter=1, utterance=3).status_code == 422
    assert client.do("chapter-join", chapter=1).status_code == 422


# --- the talk ---


def test_a_word_put_right_is_read_again_and_reaches_what_hangs_on_it(client: Client) -> None:
    now = client.desk.now()
    first = word(now, "sixteen") if now.record.measures else 0
    start = now.record.transcript.words[first].start_s
    answer = client.do(
        "word", first=first, last=first + 4, meant="sixteen and a half", back="talk", back_chapter=1
    )
    assert answer.status_code == 200
    assert "put right by you" in answer.text
    assert "16 1/2 in" in answer.text
    after = client.settled()
    assert after.record.transcript.words[first].start_s == start
    assert not any(f.kind == "slip" for f in after.record.findings)
    assert "16 1/4" not in client.out("captions.vtt")


def test_a_word_is_put_right_twice_and_back_to_what_was_heard(client: Client) -> None:
    now = client.desk.now()
    first = word(now, "rails")
    client.do("word", first=first, last=first + 1, meant="rungs")
    client.settled()
    client.do("word", first=first, last=first + 1, meant="bars")
    assert client.settled().record.transcript.words[first].text.startswith("bars")
    assert len(load_decisions(client.desk.path).word) == 1
    client.do("word", first=first, last=first + 1, meant="rails")
    assert client.settled().record.transcript == now.record.transcript
    assert load_decisions(client.desk.path).word == ()


def test_edits_one_after_another_each_mean_the_word_on_the_page(client: Client) -> None:
    first = word(client.desk.now(), "rails")
    client.do("word", first=first, last=first + 1, meant="very long bars")
    now = client.desk.now()
    assert now.fresh is not None
    words = now.fresh.edited.talk.words
    later = next(n for n, w in enumerate(words) if w.text.startswith("groove"))
    client.do("word", first=later, last=later + 1, meant="slot")
    told = client.settled().record.transcript
    text = told.text((0, len(told.words)))
    assert "very long bars" in text
    assert "get a slot with" in text


def test_a_stretch_off_the_record_is_in_no_output_and_can_be_put_back(client: Client) -> None:
    now = client.desk.now()
    there = sentence(now, "owes me money")
    assert "brother" in client.out("captions.vtt")
    answer = client.do("off-record", sentence=there, back="talk")
    assert "brother" not in re.sub(r"(?s)<script.*?</script>", "", answer.text)
    client.settled()
    for path in client.desk.episode.out.iterdir():
        assert b"brother" not in path.read_bytes(), path.name
    assert "brother" not in client.get("/talk?chapter=1").text
    client.do("put-back", table="off_record", row=0)
    client.settled()
    assert "brother" in client.out("captions.vtt")


def test_two_sentences_that_follow_one_another_are_one_stretch(client: Client) -> None:
    there = sentence(client.desk.now(), "owes me money")
    client.do("off-record", sentence=[there, there + 1])
    assert len(load_decisions(client.desk.path).off_record) == 1
    client.settled()
    assert "Okay next up" not in client.out("captions.vtt")


# --- lists ---


def test_a_tool_is_struck_out_put_back_renamed_and_added(client: Client) -> None:
    names = [t.name for t in client.desk.now().record.tools]
    client.do("line", kind="tool", number=0, change="strike")
    assert [t.name for t in client.desk.now().record.tools] == names[1:]
    assert names[0].capitalize() not in client.out("description.txt").split("TOOLS")[-1].split("MATERIALS")[0]
    client.do("put-back", table="tool", row=0)
    assert [t.name for t in client.settled().record.tools] == names
    client.do("line", kind="tool", number=0, change="rename", new_name="panel sled")
    client.do("line", kind="tool", number=0, change="rename", new_name="big sled")
    assert len(load_decisions(client.desk.path).tool) == 1
    client.do("add", kind="tool", name="drawknife", text="wide")
    now = client.settled()
    assert [t.name for t in now.record.tools] == ["big sled", *names[1:], "drawknife"]
    assert "Drawknife" in client.out("description.txt")
    client.do("line", kind="tool", number=len(names), change="strike")
    assert [t.name for t in client.settled().record.tools] == ["big sled", *names[1:]]


def test_a_step_is_written_in_other_words_and_one_is_added(client: Client) -> None:
    client.do("line", kind="step", number=1, change="rename", new_name="crosscut", new_text="Cut both off one stop.", new_part="Short rail")  # fmt: skip
    client.do("add", kind="step", name="sand", text="Break every edge by hand.", part="Handle", after=1)
    now = client.settled()
    assert now.record.steps[1].text == "Cut both off one stop."
    assert now.record.steps[2].operation == "sand"
    guide = client.out("guide.md")
    assert "Cut both off one stop." in guide
    assert "Break every edge by hand." in guide


def test_a_caution_is_struck_and_added(client: Client) -> None:
    count = len(client.desk.now().record.hazards)
    client.do("line", kind="caution", number=0, change="strike")
    client.do("add", kind="caution", name="spokeshave", text="Both hands behind the blade.")
    assert len(client.settled().record.hazards) == count
    assert "Both hands behind the blade." in client.out("guide.md")


# --- undo, other windows, other editors ---


def test_undo_takes_back_one_change_after_another(client: Client) -> None:
    before = client.settled()
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="listed")
    client.do("line", kind="tool", number=0, change="strike")
    client.do("chapter-title", chapter=1, title="Hello")
    assert "Hello" in client.desk.last_deed()
    for _ in range(3):
        assert client.do("undo").status_code == 200
    after = client.settled()
    assert after.record == before.record
    assert client.desk.last_deed() == ""


def test_undo_leaves_alone_what_was_written_in_the_file_since(client: Client) -> None:
    client.do("settle", finding=client.finding("slip").id, choice="listed")
    path = client.desk.path
    path.write_text(path.read_text() + '\n# by hand\n[[tool]]\nchange = "add"\nname = "adze"\n')
    client.do("undo")
    after = load_decisions(path)
    assert after.decision == ()
    assert [t.name for t in after.tool] == ["adze"]
    assert "# by hand" in path.read_text()


def test_undo_of_what_was_changed_again_by_hand_is_refused(client: Client) -> None:
    client.do("settle", finding=client.finding("slip").id, choice="listed")
    path = client.desk.path
    path.write_text(path.read_text().replace('answer = "accept"', 'answer = "dismiss"'))
    before = path.read_text()
    assert client.do("undo").status_code == 409
    assert path.read_text() == before


def test_two_pages_do_not_overwrite_each_other(client: Client) -> None:
    seen = client.desk.now().digest
    slip = client.finding("slip")
    assert client.do("settle", finding=slip.id, choice="listed", version=seen).status_code == 200
    late = client.do("settle", finding=slip.id, choice="dismiss", version=seen)
    assert late.status_code == 409
    assert "changed meanwhile" in late.text
    assert client.finding("slip").status == "accepted"


def test_an_answer_written_by_hand_is_shown_and_reaches_the_outputs(client: Client) -> None:
    slip = client.finding("slip")
    client.do("settle", finding=slip.id, choice="listed")
    path = client.desk.path
    path.write_text(
        path.read_text().replace('answer = "accept"', 'answer = "accept"\nnote = "from my editor"')
    )
    assert "from my editor" in client.get(f"/?finding={slip.id}").text
    assert "from my editor" in client.out("description.txt")


def test_a_file_broken_by_hand_is_told_keeps_the_page_and_takes_no_answer(client: Client) -> None:
    client.do("settle", finding=client.finding("slip").id, choice="listed")
    path = client.desk.path
    good = path.read_text()
    path.write_text(good.replace('answer = "accept"', 'answer = "maybe"'))
    page = client.get("/")
    assert page.status_code == 200
    assert "cannot be read" in page.text
    assert client.do("settle", finding=client.finding("count").id, choice="said").status_code == 409
    assert "maybe" in path.read_text()
    path.write_text(good)
    assert "cannot be read" not in client.get("/").text


def test_a_missing_version_changes_nothing(client: Client) -> None:
    answer = client.http.post("/do/settle", data={"finding": client.finding("slip").id, "choice": "listed"})
    assert answer.status_code == 409
    assert not client.desk.path.exists()


# --- the same as a run ---


def test_what_the_desk_shows_is_what_a_new_run_makes(client: Client, desk_cache: Path) -> None:
    now = client.desk.now()
    client.do("settle", finding=client.finding("slip").id, choice="said", note="So it is.")
    client.do("chapter-split", chapter=1, utterance=sentence(now, "Then the long rails"), title="Grooves")
    client.do("line", kind="material", number=0, change="strike")
    client.do("word", first=word(now, "router"), last=word(now, "router") + 1, meant="shaper")
    client.do("off-record", sentence=sentence(client.settled(), "owes me money"))
    shown = client.settled()
    assert make_record(client.desk.job) == shown.record
    again = Desk(client.desk.episode.folder, cache=desk_cache)
    assert again.now().record == shown.record


def test_an_answer_shown_at_once_has_the_findings_and_lists_of_the_whole_work(client: Client) -> None:
    client.do("settle", finding=client.finding("slip").id, choice="own-change")
    client.do("line", kind="tool", number=1, change="strike")
    quick = client.desk.now()
    whole = client.settled()
    for name in ("findings", "tools", "materials", "hazards"):
        assert getattr(quick.record, name) == getattr(whole.record, name)
    assert [c.start_s for c in quick.record.chapters] == [c.start_s for c in whole.record.chapters]


# --- without sound, without times, without a list ---


def test_without_sound_all_works_but_play(tmp_path: Path, desk_cache: Path) -> None:
    desk = Desk(make_build(tmp_path / "build", sound=False), cache=desk_cache)
    desk.start()
    client = Client(DeskApp(desk, port=8042, key="the-key", touched=lambda: None), desk)
    for path in ("/", "/glance?chapter=2", "/talk", "/lists", "/out"):
        page = client.get(path)
        assert page.status_code == 200
        assert "data-clip" not in page.text
    client.do("settle", finding=client.finding("slip").id, choice="listed")
    assert "it should be 16 1/2 in" in client.out("description.txt")
    assert client.get("/sound/0?from=1&to=2").status_code == 404
    desk.close()


def test_notes_without_times_or_a_list_can_be_settled_too(tmp_path: Path, desk_cache: Path) -> None:
    episode = tmp_path / "build" / "episodes" / "01"
    episode.mkdir(parents=True)
    (tmp_path / "build" / "build.toml").write_text('title = "Notes"\nunits = "inch"\n')
    (episode / "notes.md").write_text("# Rails\n\nCut the rails at 14 5/8 on the table saw.\n\n# Glue\n\nGlue it up. My uncle owes me money.\n")  # fmt: skip
    desk = Desk(episode, cache=desk_cache)
    desk.start()
    client = Client(DeskApp(desk, port=8042, key="the-key", touched=lambda: None), desk)
    for path in ("/", "/glance?chapter=2", "/talk?chapter=2", "/lists", "/out?show=guide"):
        assert client.get(path).status_code == 200, path
    client.do("off-record", sentence=sentence(desk.now(), "owes me money"))
    client.do("chapter-title", chapter=1, title="The rails")
    now = client.settled()
    assert now.record.chapters[0].title == "The rails"
    for path in desk.episode.out.iterdir():
        assert b"uncle" not in path.read_bytes(), path.name
    desk.close()
