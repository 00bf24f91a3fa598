"""The reader of measures beside general-purpose libraries, on the same lines.

    python tests/benchmarks/measures_compare.py LINES.jsonl [LINES.jsonl ...] [--venv FOLDER]

Each line of a file is {"text", "units", "measures": [["15/4", "inch"], ...]}. The libraries are installed into an environment of their
own (kept in FOLDER where one is given) and each is asked twice: as it is, and with the build's unit put to every number that it gives
no unit for. Values must be exact after conversion; floats are taken to the nearest millionth of a millimetre.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
import venv
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from benchscribe.measures import read
from benchscribe.units import MM_PER

PACKAGES = {
    "numerizer": ["numerizer"],
    "quantulum3": ["quantulum3"],
    "recognizers-text": ["recognizers-text-suite", "emoji<2"],
    "text2num": ["text2num"],
    "pint": ["pint"],
}
WORKER = r"""
import json, re, sys, time, warnings
warnings.filterwarnings("ignore")
name = sys.argv[1]
NUMBER = re.compile(r"(\d+(?:\.\d+)?(?:\s+\d+/\d+)?|\d+/\d+)\s*-?\s*(inch(?:es)?|in\b|\"|feet|foot|ft|'|yards?|thou|mm|millimet(?:re|er)s?|cm|centimet(?:re|er)s?|met(?:re|er)s?|m\b|degrees?|°)?")

def by_pattern(text):
    return [(m[1], m[2] or "") for m in NUMBER.finditer(text)]

if name == "numerizer":
    from numerizer import numerize
    ask = lambda text: by_pattern(numerize(text))
elif name == "text2num":
    from text_to_num import alpha2digit
    ask = lambda text: by_pattern(alpha2digit(text, "en"))
elif name == "quantulum3":
    from quantulum3 import parser
    ask = lambda text: [(repr(q.value), q.unit.name.replace("dimensionless", "")) for q in parser.parse(text)]
elif name == "recognizers-text":
    from recognizers_number_with_unit import recognize_dimension
    from recognizers_number import recognize_number
    def ask(text):
        sized = recognize_dimension(text, "en-us")
        inside = [(r.start, r.end) for r in sized]
        out = [(r.start, str(r.resolution["value"]), str(r.resolution["unit"])) for r in sized]
        out += [(r.start, str(r.resolution["value"]), "") for r in recognize_number(text, "en-us")
                if not any(a <= r.start <= b for a, b in inside)]
        return [(v, u) for _, v, u in sorted(out)]
else:
    import pint
    registry = pint.UnitRegistry()
    def ask(text):
        q = registry.Quantity(text)
        return [(repr(q.magnitude), "" if q.dimensionless else str(q.units))]

rows = [json.loads(line) for line in sys.stdin]
began = time.perf_counter()
answers = []
for row in rows:
    try:
        answers.append([[str(v), str(u)] for v, u in ask(row["text"]) if v is not None])
    except Exception:
        answers.append([])
print(json.dumps({"took": time.perf_counter() - began, "answers": answers}))
"""
NAMES = {
    "inches": "inch", "in": "inch", '"': "inch", "feet": "foot", "ft": "foot", "'": "foot", "yards": "yard", "metre": "m",
    "metres": "m", "meter": "m", "meters": "m", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm",
    "millimeters": "mm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "degrees": "degree", "°": "degree", "degree angle": "degree",
}  # fmt: skip


def quantity(value: str, unit: str) -> tuple[str, Fraction] | None:
    """Give length in millimetres or angle in degrees; None for what is neither."""
    unit = NAMES.get(unit.lower(), unit.lower())
    try:
        exact = sum((Fraction(part) for part in value.split()), Fraction(0))
    except (ValueError, ZeroDivisionError):
        return None
    if unit in MM_PER:
        return "length", round(exact * MM_PER[unit], 6)
    return ("angle", round(exact, 6)) if unit == "degree" else None


def matches(found: Sequence[Any], gold: Sequence[Any]) -> int:
    """Count the values that stand in both lists in the same order."""
    best = [0] * (len(gold) + 1)
    for item in found:
        diagonal = 0
        for j, truth in enumerate(gold):
            above = best[j + 1]
            best[j + 1] = diagonal + 1 if item == truth else max(above, best[j])
            diagonal = above
    return best[-1]


def score(
    rows: list[dict[str, Any]], answers: list[list[list[str]]], *, default: bool
) -> tuple[float, float, float, int]:
    """Give precision, recall, F1 and the number of lines that are wholly right."""
    hit = found = gold = whole = 0
    for row, answer in zip(rows, answers, strict=True):
        units = row.get("units", "inch")
        got = [q for v, u in answer if (q := quantity(v, u or (units if default else "")))]
        truth = [q for v, u in row["measures"] if (q := quantity(v, u))]
        n = matches(got, truth)
        hit, found, gold, whole = hit + n, found + len(got), gold + len(truth), whole + (got == truth)
    precision, recall = hit / found if found else 0.0, hit / gold if gold else 0.0
    f1 = 2 * hit / (found + gold) if found + gold else 0.0
    return precision, recall, f1, whole


def main() -> None:
    """Install, ask, and print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("files", nargs="+", type=Path)
    parser.add_argument("--venv", type=Path)
    args = parser.parse_args()
    rows = [json.loads(line) for file in args.files for line in file.read_text(encoding="utf-8").splitlines()]
    asked = "\n".join(json.dumps(row) for row in rows)
    words = sum(len(row["text"].split()) for row in rows)
    print(f"{len(rows)} lines, {words} words")
    print("reader                         precision  recall    F1  lines right  words/s")
    began = time.perf_counter()
    ours = [
        [[str(m.value), m.unit] for m in read(r["text"], units=r.get("units", "inch")).measures] for r in rows
    ]
    _row(
        "benchscribe.measures",
        score(rows, ours, default=False),
        words / (time.perf_counter() - began),
        len(rows),
    )
    with tempfile.TemporaryDirectory() as temporary:
        home = args.venv or Path(temporary) / "venv"
        for name, packages in PACKAGES.items():
            python = home / name / "bin" / "python"
            if not python.exists():
                venv.create(home / name, with_pip=True)
                install = [str(python), "-m", "pip", "install", "-qq", *packages, "setuptools<81"]
                subprocess.run(install, check=True)
            done = subprocess.run(
                [str(python), "-c", WORKER, name], input=asked, capture_output=True, text=True, check=False
            )
            if done.returncode:
                print(f"{name:30} did not run: {done.stderr.strip().splitlines()[-1]}", file=sys.stderr)
                continue
            result = json.loads(done.stdout.splitlines()[-1])
            for default in (False, True):
                label = f"{name}{', default unit' if default else ''}"
                figures = score(rows, result["answers"], default=default)
                _row(label, figures, words / result["took"], len(rows))


def _row(name: str, figures: tuple[float, float, float, int], speed: float, lines: int) -> None:
    precision, recall, f1, whole = figures
    print(f"{name:30} {precision:9.3f} {recall:7.3f} {f1:6.3f} {whole:5}/{lines:<6} {speed:9,.0f}")


if __name__ == "__main__":
    main()
