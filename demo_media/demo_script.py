"""Reads the scripts of the demo: what is said, and what is true about it.

One sentence a line. A size is a link, `[seven and a quarter](29/4, Case side, width, agrees, role=setting)`; the unit is inches where none
follows the value, the verdict `agrees` where a part is named and `no-part` where none is. `(pause 1.2)` is silence, `(saw 2.5)` a machine.
`### [Part] words that a good title has` begins a chapter with the next sentence. A line that begins with `>` says what is true of the sentence
above it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

LINK = re.compile(r"\[([^\]]+)\]\(([^)]+)\)")
SOUND = re.compile(r"\((pause|saw|planer|router|drill|knock) ([\d.]+)\)")


@dataclass(frozen=True)
class Sound:
    """Silence or a machine."""

    kind: str
    seconds: float


@dataclass(frozen=True)
class Chapter:
    """A chapter that begins with the next sentence."""

    part: str | None
    about: tuple[str, ...]


@dataclass
class Sentence:
    """One sentence, and what is true about it."""

    text: str
    measures: list[dict[str, str | None]]
    notes: list[tuple[str, dict[str, object]]] = field(default_factory=list)


@dataclass
class Take:
    """One recording."""

    file: str
    recorded: str
    room: str
    items: list[Sentence | Sound | Chapter] = field(default_factory=list)


@dataclass
class Script:
    """One episode."""

    folder: str = ""
    voice: str = ""
    tools: list[str] = field(default_factory=list)
    materials: list[str] = field(default_factory=list)
    takes: list[Take] = field(default_factory=list)


def read_script(path: Path) -> Script:
    """Read one script.

    Raises:
        ValueError: A line is not understood; says which.
    """
    script = Script()
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        try:
            _read_line(script, line.strip())
        except (ValueError, IndexError, KeyError) as error:
            raise ValueError(f"{path.name}, line {number}: {line!r} is not understood ({error})") from error
    return script


def _read_line(script: Script, line: str) -> None:
    if not line or line.startswith("# "):
        return
    if line.startswith("## "):
        file, recorded, room = (x.strip() for x in line.split(":", 1)[1].split(","))
        script.takes.append(Take(file, recorded, room))
    elif not script.takes:
        key, value = line.split(": ", 1)
        setattr(script, key.casefold(), [x.strip() for x in value.split(";")] if ";" in value else value)
    elif chapter := re.fullmatch(r"### \[(.+?)\] (.+)", line):
        about = tuple(x.strip() for x in chapter[2].split(","))
        script.takes[-1].items.append(Chapter(_part(chapter[1]), about))
    elif sound := SOUND.fullmatch(line):
        script.takes[-1].items.append(Sound(sound[1], float(sound[2])))
    elif line.startswith(">"):
        _note(next(x for x in reversed(script.takes[-1].items) if isinstance(x, Sentence)), line[1:].strip())
    else:
        measures = [_measure(m[1], [x.strip() for x in m[2].split(",")]) for m in LINK.finditer(line)]
        script.takes[-1].items.append(Sentence(LINK.sub(r"\1", line), measures))


def _part(text: str) -> str | None:
    return None if text in {"-", ""} else text


def _measure(text: str, fields: list[str]) -> dict[str, str | None]:
    extra = dict(x.split("=", 1) for x in fields if "=" in x)
    value, part, dimension, *verdict = (x for x in fields if "=" not in x)
    amount, _, unit = value.partition(" ")
    known = verdict[0] if verdict else "agrees" if _part(part) else "no-part"
    return {
        "text": text, "value": amount, "unit": unit or "inch", "part": _part(part),
        "dimension": dimension, "verdict": known, **extra,
    }  # fmt: skip


def _note(sentence: Sentence, line: str) -> None:
    if line == "mistake from":
        sentence.notes.append(("mistakes", {}))
        return
    key, rest = line.split(": ", 1)
    values = [x.strip() for x in rest.split(";")]
    if key == "mistake to":
        note: dict[str, object] = {"what": rest}
    elif key == "finding":
        names = ("kind", "part", "dimension", "spoken", "listed", "right", "note")
        note = dict(zip(names, values, strict=True))
        right = note.pop("right")
        if right:
            note["right"] = {"right": True, "wrong": False}[str(right)]
    elif key == "step":
        note = dict(zip(("part", "operation", "with", "setting"), values, strict=True))
        note = {name: _part(str(value)) for name, value in note.items()}
    elif key == "self-correction":
        first, then = rest.split(" -> ")
        note = {"first": first, "then": then}
    elif key == "decoy":
        note = dict(zip(("text", "note"), values, strict=True))
    elif key == "promise":
        note = {"what": rest}
    elif key == "hazard":
        note = {"text": rest}
    else:
        raise ValueError(f"unknown note {key!r}")
    names = {"mistake to": "mistakes", "finding": "findings", "step": "steps", "self-correction": "self_corrections"}
    sentence.notes.append((names.get(key, key + "s"), note))
