"""Everything that can be said against a folder of outputs, by readers that others wrote and by rules that were published."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import html5lib
import jsonschema
import pdfplumber
import srt
from markdown_it import MarkdownIt
from outside_checks import CHAPTERS_SCHEMA, parsed_by_others, vtt_cues, vtt_faults

import benchscribe.writers
from benchscribe.records import EpisodeRecord, from_json

RECORD_SCHEMA = json.loads(
    Path(benchscribe.writers.__file__).with_name("record.schema.json").read_text("utf-8")
)
DRAFT = "draft: times are of the takes"
LINE, LINES, SHORTEST_S, LONGEST_S = 42, 2, 1.0, 7.0
"""An academic captioning guide."""
UNITS = r"(?:inch|inches|ft|feet|mm|cm|m|thou|°)"
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "\uff1d", "\uff0b", "\uff0d", "\uff20")
TEXTS = (".md", ".txt", ".vtt", ".srt", ".csv", ".json", ".html")
UNTIMED = ("record", "markers", "cutlist", "shop-cutlist", "cut-")
"""Files that hold no public time: the record itself, marks for the editor in each take's own time, sizes."""
KINDS = {"captions.vtt": "captions", "chapters.vtt": "chapters", "overlays.vtt": "metadata"}
TIMED = ("captions.vtt", "captions.srt", "chapters.vtt", "chapters.json", "overlays.csv", "overlays.vtt")


def folder_faults(out: Path) -> list[str]:
    """Give every fault of every file in an episode's folder of outputs, with the file's name."""
    record = from_json((out / "record.json").read_bytes())
    faults = [f"record.json: {e.message}" for e in _schema_faults(out / "record.json", RECORD_SCHEMA)]
    for check in (
        _webvtt,
        _captions,
        _subrip,
        _chapters,
        _tables,
        _description,
        _markdown,
        _pages,
        _documents,
    ):
        faults += check(out, record)
    faults += _drafts(out, record)
    faults += [f"{p.name}: half-written" for p in out.iterdir() if p.name.startswith(".")]
    return faults


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8")


def _schema_faults(path: Path, schema: object) -> Iterator[jsonschema.ValidationError]:
    validator = jsonschema.Draft202012Validator(schema)  # type: ignore[arg-type]
    yield from validator.iter_errors(json.loads(_text(path)))


def _webvtt(out: Path, _: EpisodeRecord) -> Iterator[str]:
    names = [name for name in KINDS if (out / name).is_file()]
    texts = [_text(out / name) for name in names]
    for name, text in zip(names, texts, strict=True):
        yield from (f"{name}: {fault}" for fault in vtt_faults(text))
    for name, answer in zip(
        names, parsed_by_others([(KINDS[n], t) for n, t in zip(names, texts, strict=True)]), strict=True
    ):
        yield from (f"{name}: {error}" for error in answer["errors"])
        if not answer["cues"]:
            yield f"{name}: no cue"


def _captions(out: Path, record: EpisodeRecord) -> Iterator[str]:
    if not (out / "captions.vtt").is_file():
        if any(w.start_s is not None for w in record.transcript.words):
            yield "captions.vtt: not there, and there are times"
        return
    text = _text(out / "captions.vtt")
    noted = re.findall(r"^NOTE (.*)\n\n([\d:.]+) -->", text, re.MULTILINE)
    flagged = {start for note, start in noted if "words a minute" in note}
    cues = vtt_cues(text)
    starts = re.findall(r"^([\d:.]+) -->", text, re.MULTILINE)
    for cue, stamp in zip(cues, starts, strict=True):
        yield from (f"captions.vtt: {stamp}: {fault}" for fault in _caption(*cue, flagged=stamp in flagged))
    for (_, end, _), (start, _, _) in pairwise(cues):
        if end > start + 0.0015:
            yield f"captions.vtt: overlap at {start}"


def _caption(start: float, end: float, lines: list[str], *, flagged: bool) -> Iterator[str]:
    shown = [html.unescape(line) for line in lines]
    one_long_word = any(len(line) > LINE and " " not in line for line in shown)
    if len(shown) > LINES or (any(len(line) > LINE for line in shown) and not one_long_word):
        yield f"does not fit: {shown}"
    if not SHORTEST_S - 0.002 <= end - start <= LONGEST_S + 0.002:
        yield f"stands {end - start:.3f} s"
    fast = sum(len(line.split()) for line in shown) / (end - start) * 60
    if fast > 181 and not flagged:
        yield f"asks for {fast:.0f} words a minute and is not flagged"
    for line, after in pairwise(shown):
        if re.search(r"\d$", line) and re.match(rf"{UNITS}\b|\d+/\d", after):
            yield f"a size torn apart: {shown}"


def _subrip(out: Path, record: EpisodeRecord) -> Iterator[str]:
    if not (out / "captions.srt").is_file():
        return
    text = _text(out / "captions.srt")
    made = list(srt.parse(text, ignore_errors=False))
    if [s.index for s in made] != list(range(1, len(made) + 1)):
        yield "captions.srt: not numbered from 1"
    if len(made) != len(vtt_cues(_text(out / "captions.vtt"))) + record.draft:
        yield "captions.srt: another number of captions than WebVTT"
    if any(s.end <= s.start for s in made):
        yield "captions.srt: ends before it begins"


def _chapters(out: Path, _: EpisodeRecord) -> Iterator[str]:
    if not (out / "chapters.json").is_file():
        return
    yield from (f"chapters.json: {e.message}" for e in _schema_faults(out / "chapters.json", CHAPTERS_SCHEMA))
    chapters = json.loads(_text(out / "chapters.json"))["chapters"]
    starts = [c["startTime"] for c in chapters]
    if starts[0] != 0 or any(b <= a for a, b in pairwise(starts)):
        yield "chapters.json: not from 0, ascending"
    if any(b["startTime"] < a["endTime"] for a, b in pairwise(chapters)):
        yield "chapters.json: overlap"
    if any(not c["title"].strip() or len(c["title"]) > 100 for c in chapters):
        yield "chapters.json: a title that is empty or has no end"


def _tables(out: Path, _: EpisodeRecord) -> Iterator[str]:
    for path in sorted(out.glob("*.csv")):
        text = _text(path)
        if text.count("\n") != text.count("\r\n"):
            yield f"{path.name}: line ends"
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        if len({len(row) for row in rows}) != 1:
            yield f"{path.name}: rows of different lengths"
        yield from (
            f"{path.name}: a formula: {cell!r}" for row in rows for cell in row if cell.startswith(FORMULA)
        )
        if not text.endswith("\r\n"):
            yield f"{path.name}: no line end at the end"


def _description(out: Path, record: EpisodeRecord) -> Iterator[str]:
    path = out / "description.txt"
    if not path.is_file():
        return
    text = _text(path)
    if len(text) >= 5000 or len(text.encode()) >= 5000:
        yield f"description.txt: {len(text)} characters"
    if re.search(r"[\x00-\x08\x0b-\x1f\x7f]|\*\*|^#", text, re.MULTILINE):
        yield "description.txt: not plain"
    marks = re.findall(r"^(\d+(?::\d\d){1,2}) \S", text, re.MULTILINE)
    seconds = [sum(int(p) * 60**n for n, p in enumerate(reversed(m.split(":")))) for m in marks]
    if marks and (seconds[0] != 0 or len(seconds) < 3 or any(b - a < 10 for a, b in pairwise(seconds))):
        yield f"description.txt: chapters that no platform takes: {marks}"
    for line in re.findall(r"^- (.*)$", text.partition("NEXT TIME")[2], re.MULTILINE):
        bare = re.sub(r" \(at [\d:]+\)$", "", line)
        if re.match(r"(?:and|so|but)\b(?! that (?:is|was)\b)", bare, re.IGNORECASE) or not re.search(
            r"[.!?…\])]$", bare
        ):
            yield f"description.txt: no sentence: {bare!r}"
        if bare[:1].islower():
            yield f"description.txt: begins small: {bare!r}"
    if record.info.before and record.info.before.strip("\n") not in text:
        yield "description.txt: the maker's own words are not there"


def _markdown(out: Path, _: EpisodeRecord) -> Iterator[str]:
    for path in sorted(out.glob("*.md")):
        text = _text(path)
        if "\n\n\n" in text and "show-notes" not in path.name:
            yield f"{path.name}: a hole of empty lines"
        page = MarkdownIt("commonmark").enable("table").render(text)
        if page.count("<h1>") != 1:
            yield f"{path.name}: {page.count('<h1>')} titles"
        if re.search(r"<(?:script|iframe|style|img src=\"(?!still))", page):
            yield f"{path.name}: markup came through"
        hole = re.search(r"^.*(?:\bNone\b|\bFraction\(|\{\{|\}\}|, *,|\( *\)).*$", text, re.MULTILINE)
        if hole and "{{7" not in hole[0]:  # the odd episode has a part of that name
            yield f"{path.name}: a hole in a line: {hole[0]!r}"


def _pages(out: Path, _: EpisodeRecord) -> Iterator[str]:
    for path in sorted(out.glob("*.html")):
        text = _text(path)
        parser = html5lib.HTMLParser(strict=False)
        tree = parser.parse(text)
        yield from (f"{path.name}: {error[1]} at {error[0]}" for error in parser.errors)
        space = "{http://www.w3.org/1999/xhtml}"
        if tree.findall(f".//{space}script"):
            yield f"{path.name}: a script"
        for element in tree.iter():
            for name in ("src", "href"):
                value = element.get(name) or ""
                if element.tag != f"{space}a" and value and not value.startswith("data:"):
                    yield f"{path.name}: not self-contained: {value[:60]}"
        identifiers = [e.get("id") for e in tree.iter() if e.get("id")]
        if len(identifiers) != len(set(identifiers)):
            yield f"{path.name}: an id twice"
        targets = [
            (e.get("href") or "")[1:] for e in tree.iter(f"{space}a") if (e.get("href") or "").startswith("#")
        ]
        yield from (f"{path.name}: a link to nowhere: #{t}" for t in targets if t not in identifiers)


def _documents(out: Path, record: EpisodeRecord) -> Iterator[str]:
    for path in sorted(out.glob("*.pdf")):
        with pdfplumber.open(path) as document:
            if not document.pages:
                yield f"{path.name}: no page"
            text = "\n".join(page.extract_text() or "" for page in document.pages)
            if not text.strip():
                yield f"{path.name}: no text"
            if (
                path.name == "corrections-sheet.pdf"
                and len(document.pages) != 1
                and len(record.findings) < 30
            ):
                yield f"{path.name}: {len(document.pages)} pages"
            for page in document.pages:
                outside = [c for c in page.chars if c["x1"] > page.width + 0.5 or c["x0"] < -0.5]
                if outside:
                    yield f"{path.name}: text off the page"
                    break


def _drafts(out: Path, record: EpisodeRecord) -> Iterator[str]:
    """A public time of a take never stands without the word."""
    for path in sorted(out.iterdir()):
        if path.suffix not in TEXTS or path.name.startswith(UNTIMED):
            continue
        text = _text(path)
        if path.suffix == ".csv" and len(text.splitlines()) < 2:
            continue
        timed = re.search(r"\d:\d\d", text) or path.name in TIMED
        if record.draft and timed and DRAFT not in text:
            yield f"{path.name}: times of takes without the word draft"
        if not record.draft and DRAFT in text:
            yield f"{path.name}: says draft, and the times are public"
