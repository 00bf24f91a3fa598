"""Makes the file of a labelled part list, reads it, and judges each fact: right, named as not understood, or silently wrong."""

from __future__ import annotations

import csv
import io
import tomllib
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from sheet_files import Cell, ods, xlsx

from benchscribe.partlist import read_part_list
from benchscribe.records import Listed, Part, PartList

HERE = Path(__file__).parent / "lists"


class Fact(NamedTuple):
    """One thing that the list says, and how it was read."""

    case: str
    what: str
    verdict: str
    """right, named or silent."""


def cases(*names: str) -> list[dict[str, Any]]:
    """Load the labelled lists of these files."""
    return [c for n in names for c in tomllib.loads((HERE / f"{n}.toml").read_text(encoding="utf-8"))["list"]]


def make(case: dict[str, Any], folder: Path) -> Path:
    """Write the list as the kind of file that the case asks for."""
    text = case["text"].lstrip("\n")
    form = case.get("form", "text")
    if form in {"xlsx", "ods"}:
        rows = [[_cell(c) for c in row] for row in csv.reader(io.StringIO(text))]
        if form == "ods":
            return ods(folder / "parts.ods", rows)
        return xlsx(folder / "parts.xlsx", {"Parts": rows}, merged=case.get("merged", []))
    if form.startswith("pdf"):
        return _pdf(folder, [line.split("|") for line in text.splitlines()], ruled=form == "pdf")
    path = folder / case.get("file", "parts.csv")
    path.write_bytes(text.encode(case.get("encoding", "utf-8")))
    return path


def _cell(text: str) -> Cell:
    try:
        return float(text) if text else None
    except ValueError:
        return text


def _pdf(folder: Path, rows: list[list[str]], *, ruled: bool) -> Path:
    import typst

    marked = ", ".join("[" + c.replace('"', '\\"').replace("#", "\\#") + "]" for row in rows for c in row)
    look = "" if ruled else "stroke: none, column-gutter: 2em, "
    source = folder / "list.typ"
    source.write_text(f"#table(columns: {len(rows[0])}, {look}{marked})", encoding="utf-8")
    target = folder / "list.pdf"
    typst.compile(str(source), output=str(target))
    return target


def judge(case: dict[str, Any], folder: Path) -> list[Fact]:
    """Read the list and judge every fact of it."""
    found = read_part_list(make(case, folder))
    return [Fact(case["name"], what, verdict) for what, verdict in _facts(case, found)]


def _facts(case: dict[str, Any], found: PartList) -> Iterator[tuple[str, str]]:
    noted = {n.row for n in found.not_understood}
    whole_columns = {n.column for n in found.not_understood if n.row <= _first_row(found)}
    asked = any(n.note.startswith("no unit is written") for n in found.not_understood)
    wrong = "named" if asked else "silent"
    yield f"units {found.units}", "right" if found.units == case["units"] else wrong
    wanted = [line.partition(": ")[::2] for line in case["sizes"]]
    if len(wanted) == len(case["sizes"]) and any(": " in w[1] for w in wanted):
        wanted = [line.rpartition(": ")[::2] for line in case["sizes"]]
    left = list(found.parts)
    for index, (name, sizes) in enumerate(wanted):
        part = next((p for p in left if p.name == name), None)
        if part is None:
            yield f"{name}: no such part among {[p.name for p in left]}", "named" if noted else "silent"
            continue
        left.remove(part)
        yield f"{name}: name", "right"
        fallback = "named" if part.row in noted or whole_columns else "silent"
        yield from _other_facts(case, index, part, fallback)
        yield from _size_facts(name, sizes, part, fallback)
    for part in left:
        yield f"{part.name}: a part that is not there", "named" if part.row in noted else "silent"


def _first_row(found: PartList) -> int:
    return min((p.row for p in found.parts), default=1) - 1


def _other_facts(case: dict[str, Any], index: int, part: Part, fallback: str) -> Iterator[tuple[str, str]]:
    values = {
        "counts": part.count or 0,
        "materials": part.material,
        "refs": part.ref,
        "sheets": part.sheet,
        "notes_kept": part.notes,
        "others": f"{part.name}: {', '.join(part.other_names)}",
    }
    for key, value in values.items():
        if key in case and index < len(case[key]):
            verdict = "right" if case[key][index] == value else fallback
            yield f"{part.name}: {key} {value!r} for {case[key][index]!r}", verdict
    if "hardware" in case:
        right = part.hardware == (part.name in case["hardware"])
        yield f"{part.name}: bought {part.hardware}", "right" if right else "silent"


def _size_facts(name: str, sizes: str, part: Part, fallback: str) -> Iterator[tuple[str, str]]:
    left = list(part.listed)
    wishes = [] if sizes == "-" else sizes.split(", ")
    for wish in sorted(wishes, key=lambda w: (w.startswith("?"), "[*]" in w, "|" in w)):
        size = next((s for s in left if fits(wish.removeprefix("?"), s)), None)
        if size is not None:
            left.remove(size)
            yield f"{name}: {wish}", "right"
        elif not wish.startswith("?"):
            yield f"{name}: {wish} is missing", fallback
    for size in left:
        yield f"{name}: {show(size)} is not there", fallback


def show(size: Listed) -> str:
    """Write a size as the cases do."""
    text = f"{size.dimension} none" if size.value is None else f"{size.dimension} {size.value} {size.unit}"
    return text + (f" [{size.feature}]" if size.feature else "") + (" *" if size.rough else "")


def fits(wish: str, size: Listed) -> bool:
    """Is this the size that the case asks for?"""
    wish, rough = (wish[:-2], True) if wish.endswith(" *") else (wish, False)
    wish, _, feature = wish.partition(" [")
    names, value, *unit = wish.split(" ")
    features = feature.rstrip("]").split("|") if feature else [""]
    return (
        size.dimension in names.split("|")
        and size.rough == rough
        and ("*" in features or size.feature in features)
        and (size.value is None if value == "none" else size.value == Fraction(value))
        and (value == "none" or size.unit == unit[0])
    )


def tally(facts: list[Fact]) -> str:
    """Say the shares in one line."""
    count = Counter(f.verdict for f in facts)
    total = len(facts)
    return ", ".join(f"{k} {count[k]} ({count[k] / total:.1%})" for k in ("right", "named", "silent"))
