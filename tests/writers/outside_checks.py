"""Checks of what goes out that know nothing of how it was made."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

OUTSIDE = Path(__file__).parent.parent / "outside"

VTT_TIME = r"(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}"

CHAPTERS_SCHEMA = {
    "type": "object",
    "required": ["version", "chapters"],
    "additionalProperties": False,
    "properties": {
        "version": {"const": "1.2.0"},
        **{
            name: {"type": "string"} for name in ("author", "title", "podcastName", "description", "fileName")
        },
        "waypoints": {"type": "boolean"},
        "chapters": {
            "type": "array",
            "minItems": 1,
            "items": {
                "type": "object",
                "required": ["startTime"],
                "additionalProperties": False,
                "properties": {
                    "startTime": {"type": "number", "minimum": 0},
                    "endTime": {"type": "number", "exclusiveMinimum": 0},
                    **{name: {"type": "string"} for name in ("title", "img", "url")},
                    "toc": {"type": "boolean"},
                    "location": {"type": "object"},
                },
            },
        },
    },
}
"""Written from the open specification (podcast-namespace, docs/examples/chapters/jsonChapters.md)."""


def vtt_faults(text: str) -> list[str]:
    """Find what a WebVTT file does against the specification, with the eyes of one who wrote it down again from there."""
    faults = []
    if not re.match(r"WEBVTT(?:[ \t][^\n]*)?\n(?:\n|$)", text):
        faults.append("no header")
    last = -1.0
    identifiers: list[str] = []
    for block in re.split(r"\n\n+", text.rstrip("\n"))[1:]:
        lines = block.split("\n")
        if lines[0].startswith(("NOTE", "STYLE", "REGION")):
            faults += [f"an arrow in a note: {block!r}"] if "-->" in block else []
            continue
        if "-->" not in lines[0]:
            identifiers.append(lines.pop(0))
        times = re.fullmatch(rf"({VTT_TIME})[ \t]+-->[ \t]+({VTT_TIME})", lines[0] if lines else "")
        if times is None:
            faults.append(f"no times: {block!r}")
            continue
        start, end = (_seconds(t) for t in times.groups())
        faults += [f"ends before it begins: {lines[0]}"] if end <= start else []
        faults += [f"out of order: {lines[0]}"] if start < last else []
        faults += payload_faults("\n".join(lines[1:]))
        last = start
    faults += [
        f"identifier twice: {name}" for name, times_seen in Counter(identifiers).items() if times_seen > 1
    ]
    return faults


def payload_faults(payload: str) -> list[str]:
    """Find what the text of a cue does against the specification."""
    faults = [] if payload.strip() else ["an empty cue"]
    if "-->" in payload or re.search(r"<|&(?!amp;|lt;|gt;|nbsp;|lrm;|rlm;|#)", payload):
        faults.append(f"not escaped: {payload!r}")
    return faults


def vtt_cues(text: str) -> list[tuple[float, float, list[str]]]:
    """Read the cues of a WebVTT file that has no faults."""
    made = []
    for block in re.split(r"\n\n+", text.rstrip("\n")):
        lines = block.split("\n")
        for number, line in enumerate(lines):
            if "-->" in line and not block.startswith("NOTE"):
                start, end = (_seconds(t) for t in re.findall(VTT_TIME, line))
                made.append((start, end, lines[number + 1 :]))
    return made


def parsed_by_others(files: Sequence[tuple[str, str]]) -> list[dict[str, Any]]:
    """Let the npm package webvtt-parser read WebVTT files; kind and text of each."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if node is None or npm is None:
        pytest.skip("needs node and npm (apt-get install nodejs npm)")
    if not (OUTSIDE / "node_modules" / "webvtt-parser").is_dir():
        subprocess.run(
            [npm, "install", "--no-audit", "--no-fund", "--no-package-lock"],
            cwd=OUTSIDE,
            check=True,
            capture_output=True,
        )
    given = "\n".join(json.dumps({"kind": kind, "text": text}) for kind, text in files)
    run = subprocess.run(
        [node, "check_vtt.cjs"], cwd=OUTSIDE, input=given, text=True, capture_output=True, check=True
    )
    return [json.loads(line) for line in run.stdout.splitlines()]


def _seconds(time: str) -> float:
    parts = [float(p) for p in time.split(":")]
    return round(sum(p * 60**n for n, p in enumerate(reversed(parts))), 3)


def accessibility_faults(page: str, folder: Path, *, dark: bool = False) -> list[str]:
    """Let axe-core look at a page in Chromium; give what it finds, one line each."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    npm = shutil.which("npm")
    if browser is None or npm is None:
        pytest.skip("needs chromium and npm (apt-get install chromium npm)")
    axe = OUTSIDE / "node_modules" / "axe-core" / "axe.min.js"
    if not axe.is_file():
        subprocess.run(
            [npm, "install", "--no-audit", "--no-fund", "--no-package-lock"],
            cwd=OUTSIDE,
            check=True,
            capture_output=True,
        )
    run = (
        "axe.run().then(r => { const p = document.createElement('pre'); p.id = 'axe-result'; "
        "p.textContent = JSON.stringify(r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html).join(' | '))); "
        "document.body.append(p); });"
    )
    # The page's own policy lets no script in; for the look from outside it is taken off.
    opened = re.sub(r"<meta http-equiv=\"Content-Security-Policy\"[^>]*>", "", page)
    opened = opened.replace(
        "</body>", f"<script>{axe.read_text('utf-8')}</script><script>{run}</script></body>"
    )
    path = folder / "page.html"
    path.write_text(opened, "utf-8")
    shown = subprocess.run(
        [
            browser, "--headless", "--no-sandbox", "--disable-gpu", "--virtual-time-budget=20000", "--dump-dom",
            *(["--blink-settings=preferredColorScheme=0"] if dark else []),
            f"file://{path}",
        ],
        capture_output=True, text=True, check=True, timeout=100,
    ).stdout  # fmt: skip
    found = re.search(r'<pre id="axe-result">(.*?)</pre>', shown, re.DOTALL)
    assert found is not None, "axe-core did not finish"
    faults: list[str] = json.loads(html.unescape(found[1]))
    return faults
