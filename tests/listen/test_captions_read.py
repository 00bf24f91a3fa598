"""Caption files are read as they really come."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from benchscribe.errors import TranscriptError
from benchscribe.listen import read_captions
from benchscribe.records import Transcript


def read(tmp_path: Path, text: str | bytes, name: str = "take.vtt") -> Transcript:
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_captions(path)


def said(transcript: Transcript) -> str:
    return transcript.text((0, len(transcript.words)))


PLAIN = """WEBVTT

00:00:01.000 --> 00:00:03.000
Cut the rails

00:00:03.000 --> 00:00:06.500
at 27.6 cm. Then the legs.
"""


def test_words_and_cues_come_in_order(tmp_path: Path) -> None:
    read_back = read(tmp_path, PLAIN)
    assert said(read_back) == "Cut the rails at 27.6 cm. Then the legs."
    assert [(cue.span, cue.start_s, cue.end_s) for cue in read_back.cues] == [
        ((0, 3), 1.0, 3.0),
        ((3, 9), 3.0, 6.5),
    ]


def test_words_share_out_their_cue_by_length(tmp_path: Path) -> None:
    words = read(tmp_path, PLAIN).words
    assert words[0].start_s == 1.0
    assert words[2].end_s == 3.0
    assert all(a.end_s == pytest.approx(b.start_s) for a, b in itertools.pairwise(words))
    number, unit = words[4], words[5]
    assert number.end_s - number.start_s > unit.end_s - unit.start_s


def test_sentences_run_across_cues(tmp_path: Path) -> None:
    read_back = read(tmp_path, PLAIN)
    assert [read_back.text(u.span) for u in read_back.utterances] == [
        "Cut the rails at 27.6 cm.",
        "Then the legs.",
    ]


@pytest.mark.parametrize(
    "text",
    [
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\r"),
        "\ufeff" + PLAIN,
        PLAIN.replace("00:00:0", "00:0"),
        PLAIN.replace("WEBVTT\n", "WEBVTT - made by hand\nKind: captions\nLanguage: en-GB\n"),
        PLAIN.replace(
            "WEBVTT\n", "WEBVTT\n\nNOTE said\nnot words\n\nSTYLE\n::cue { color: red }\n\nREGION\nid:a\n"
        ),
        PLAIN.replace(".000\n", ".000 align:start position:0% line:-1\n"),
        PLAIN.replace("00:00:03.000 -->", "second-cue\n00:00:03.000 -->"),
        PLAIN.replace("\n\n00:00:03", "\n00:00:03"),
        PLAIN.replace("WEBVTT\n\n", ""),
        PLAIN.replace("Cut the", "<v Maker><b>Cut</b> <i.loud>the</i>"),
        PLAIN.replace("Cut the rails", ">> Cut the\n- rails [saw]"),
        PLAIN.replace("rails\n", "rails\n\n\n\n"),
        PLAIN.replace("Cut the rails", "Cut\u200b the&nbsp;rails&lrm;"),
    ],
    ids=[
        "crlf",
        "cr",
        "bom",
        "hours-left-out",
        "header",
        "blocks",
        "settings",
        "identifier",
        "no-blank",
        "no-header",
        "tags",
        "speakers",
        "blanks",
        "entities",
    ],
)
def test_the_same_words_in_every_dress(tmp_path: Path, text: str) -> None:
    read_back = read(tmp_path, text)
    assert said(read_back) == "Cut the rails at 27.6 cm. Then the legs."
    assert read_back.words[0].start_s == 1.0
    assert read_back.words[-1].end_s == 6.5


def test_subrip_is_read(tmp_path: Path) -> None:
    text = "1\r\n00:00:01,000 --> 00:00:02,500\r\n<font color=red>{\\an8}Rip it</font>\r\nto 3 inches\r\n\r\n2\r\n00:00:02,500 --> 0:00:04,5\r\n4 of them\r\n"
    read_back = read(tmp_path, text, "take.srt")
    assert said(read_back) == "Rip it to 3 inches 4 of them"
    assert read_back.cues[1].end_s == 4.5


def test_text_behind_a_blank_line_stays_with_its_cue(tmp_path: Path) -> None:
    text = (
        "1\n00:00:01,000 --> 00:00:02,500\nRip it\n\nto 3 inches\n\n2\n00:00:02,500 --> 00:00:04,000\nDone\n"
    )
    assert said(read(tmp_path, text, "take.srt")) == "Rip it to 3 inches Done"


def test_older_encodings_are_read(tmp_path: Path) -> None:
    assert said(read(tmp_path, PLAIN.replace("the rails", "it \u00bd").encode("cp1252"))).startswith(
        "Cut it \u00bd at"
    )
    assert said(read(tmp_path, PLAIN.encode("utf-16"))).startswith("Cut the rails")


def test_angle_signs_that_are_no_tags_stay(tmp_path: Path) -> None:
    assert said(read(tmp_path, PLAIN.replace("Cut the rails", "a &lt; 3 &amp; b < 4"))).startswith(
        "a < 3 & b < 4 at"
    )


def test_times_inside_a_cue_date_its_words(tmp_path: Path) -> None:
    text = "WEBVTT\n\n00:00:10.000 --> 00:00:14.000\nfirst<00:00:11.000><c> second</c><00:00:13.000><c> third</c>\n"
    words = read(tmp_path, text).words
    assert [word.start_s for word in words] == [10.0, 11.0, 13.0]
    assert words[0].end_s <= 11.0


ROLLING = """WEBVTT

00:00:00.000 --> 00:00:02.000 align:start position:0%
 
all<00:00:00.400><c> right</c><00:00:00.900><c> good</c>

00:00:02.000 --> 00:00:02.010 align:start position:0%
all right good
 

00:00:02.010 --> 00:00:05.000 align:start position:0%
all right good
morning<00:00:02.500><c> it's</c><00:00:03.000><c> cold</c>

00:00:05.000 --> 00:00:05.010 align:start position:0%
morning it's cold
 

00:00:05.010 --> 00:00:08.000 align:start position:0%
morning it's cold
out<00:00:05.400><c> here</c>
"""  # noqa: W293


def test_rolling_captions_say_each_word_once_at_its_time(tmp_path: Path) -> None:
    read_back = read(tmp_path, ROLLING)
    assert said(read_back) == "all right good morning it's cold out here"
    assert [word.start_s for word in read_back.words] == [0.0, 0.4, 0.9, 2.01, 2.5, 3.0, 5.01, 5.4]
    assert all(
        a.end_s <= b.start_s + 1e-9 for a, b in zip(read_back.words, read_back.words[1:], strict=False)
    )
    assert [cue.span for cue in read_back.cues] == [(0, 3), (3, 6), (6, 8)]


def test_rolling_lines_without_word_times_are_said_once(tmp_path: Path) -> None:
    lines = ["so the legs first", "there are four of them", "and they lean in", "by five degrees"]
    cues = [
        f"{i + 1}\n00:00:{2 * i:02d},000 --> 00:00:{2 * i + 4:02d},000\n"
        + (lines[i - 1] + "\n" if i else "")
        + line
        for i, line in enumerate(lines)
    ]
    read_back = read(tmp_path, "\n\n".join(cues), "take.srt")
    assert said(read_back) == " ".join(lines)
    assert read_back.words[4].start_s == 2.0
    assert read_back.words[9].start_s == 4.0


def test_captions_that_grow_word_by_word_are_said_once(tmp_path: Path) -> None:
    words = ["now", "we", "cut", "the", "long", "rails"]
    cues = [f"00:00:0{i}.000 --> 00:00:0{i + 1}.000\n{' '.join(words[: i + 1])}" for i in range(len(words))]
    read_back = read(tmp_path, "WEBVTT\n\n" + "\n\n".join(cues))
    assert said(read_back) == " ".join(words)
    assert [word.start_s for word in read_back.words] == [float(i) for i in range(6)]


def test_what_is_really_said_twice_is_kept(tmp_path: Path) -> None:
    lines = ["chop", "chop", "and chop again", "at two inches", "two", "two and a half"]
    cues = [f"00:00:0{i}.000 --> 00:00:0{i + 1}.000\n{line}" for i, line in enumerate(lines)]
    assert said(read(tmp_path, "WEBVTT\n\n" + "\n\n".join(cues))) == " ".join(lines)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("WEBVTT\n\n00:00:01.000 -> 00:00:03.000\nhello", 4, "no caption"),
        ("WEBVTT\n\n00:00:0x.000 --> 00:00:03.000\nhello", 3, "cannot be read"),
        ("WEBVTT\n\n00:00:61.000 --> 00:01:03.000\nhello", 3, "59"),
        ("WEBVTT\n\n00:00:04.000 --> 00:00:03.000\nhello", 3, "ends before it starts"),
        (
            "WEBVTT\n\n00:01:00.000 --> 00:01:03.000\na\n\n00:00:01.000 --> 00:00:03.000\nb",
            6,
            "starts before",
        ),
        ("WEBVTT\n\n", 3, "no caption"),
        ("WEBVTT\n\n00:00:01.000 --> 00:00:03.000\n[music]\n", 1, "no words"),
        ("WEBVTT\n\n00:00:01.000 --> 00:00:03.000\n\0\1", 4, "not a text file"),
    ],
)
def test_a_broken_file_is_named_with_its_line(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(TranscriptError) as caught:
        read(tmp_path, text)
    assert f"line {line}" in str(caught.value)
    assert words in str(caught.value)


def test_an_empty_or_missing_file_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(TranscriptError, match="empty"):
        read(tmp_path, "")
    with pytest.raises(TranscriptError, match="no such file"):
        read_captions(tmp_path / "gone.vtt")
    with pytest.raises(TranscriptError, match="folder"):
        read_captions(tmp_path)


def test_a_text_far_too_large_for_talk_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "take-1.vtt"
    with path.open("wb") as file:
        file.truncate(9 * 1024 * 1024)
    with pytest.raises(TranscriptError, match="9 MB of text; more than 8 MB is no talk"):
        read_captions(path)
