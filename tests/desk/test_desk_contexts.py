"""What the desk's records offer and what its templates use are the same; every text goes through the escape."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from benchscribe.desk import contexts
from benchscribe.desk.pages import FINISHED, FOLDER

TEXT = "\n".join(path.read_text() for path in sorted(FOLDER.glob("*.j2")))
TREE = ast.parse(Path(contexts.__file__).read_text())
RECORDS = {
    node.name: [item.target.id for item in node.body if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name)]
    for node in TREE.body
    if isinstance(node, ast.ClassDef)
}  # fmt: skip


@pytest.mark.parametrize(("record", "field"), [(r, f) for r, fields in RECORDS.items() for f in fields])
def test_every_field_is_used_by_a_template(record: str, field: str) -> None:
    assert re.search(rf"\b{field}\b", TEXT), f"{record}.{field} is shown nowhere"


def test_only_what_this_program_drew_or_rendered_is_let_through_as_markup() -> None:
    let = set(re.findall(r"\{\{\s*([\w.]+)\|finished\s*\}\}", TEXT))
    assert {name.rpartition(".")[2] for name in let} == FINISHED
    assert "|safe" not in TEXT
    assert "autoescape" not in TEXT


def test_no_template_has_inline_script_or_style() -> None:
    assert not re.search(r"\son[a-z]+=|\sstyle=|<script(?![^>]*src=)|javascript:", TEXT)


def test_the_page_asks_nothing_of_the_network() -> None:
    everything = TEXT + (FOLDER / "desk.css").read_text() + (FOLDER / "desk.js").read_text()
    assert not re.search(r"https?://|//[a-z]+\.[a-z]+/|@import|url\((?!data:)", everything)
