from __future__ import annotations

import json
import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import jsonschema
import pytest
from jinja2 import nodes
from jinja2.visitor import NodeVisitor
from msgspec import Struct
from msgspec.structs import replace
from odd_records import bare, hostile, long_talk, with_cues, without_times
from outside_checks import parsed_by_others, vtt_faults
from sample_records import cabinet, published

from benchscribe.errors import WriteError
from benchscribe.records import Candidate, EpisodeRecord, from_json, json_schema, to_json
from benchscribe.writers import WRITERS, contexts, write_outputs
from benchscribe.writers.review import for_review, how_sure, numbered
from benchscribe.writers.templating import HOME, make_environment, render
from benchscribe.writers.view import make_view

TEMPLATES = {
    "show-notes.md.j2": contexts.NotesContext,
    "description.txt.j2": contexts.NotesContext,
    "for-review.md.j2": contexts.ReviewContext,
    "guide.md.j2": contexts.GuideContext,
    "guide.html.j2": contexts.GuideContext,
}
FEWER = {
    "show-notes.md.j2": set(),
    "description.txt.j2": set(),
    "for-review.md.j2": set(),
    "guide.md.j2": {"dimensions", "has_counts", "has_materials"},
    "guide.html.j2": set(),
}
"""Names that one template of a context has no use for."""


class Names(NodeVisitor):
    """Collects the names and the attributes that a template reads."""

    def __init__(self) -> None:
        """Start with none."""
        self.attributes: set[str] = set()

    def visit_Getattr(self, node: nodes.Getattr) -> None:  # noqa: N802 -- the visitor's own way of naming
        self.attributes.add(node.attr)
        self.generic_visit(node)


def used(name: str) -> tuple[set[str], set[str]]:
    from jinja2.meta import find_undeclared_variables

    environment = make_environment(name, [HOME])
    tree = environment.parse((HOME / name).read_text("utf-8"))
    names = Names()
    names.visit(tree)
    return find_undeclared_variables(tree), names.attributes - {"index", "first", "last"}


def fields_within(kind: type[Struct]) -> set[str]:
    known: set[str] = set()
    for hint in kind.__annotations__.values():
        for other in vars(contexts).values():
            if (
                isinstance(other, type)
                and issubclass(other, Struct)
                and other.__name__ in str(hint).replace("[", " ").replace(",", " ").split()
            ):
                known |= set(other.__struct_fields__) | fields_within(other)
    return known


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_template_uses_exactly_the_names_that_are_documented(name: str) -> None:
    top, inside = used(name)
    documented = set(TEMPLATES[name].__struct_fields__)
    assert top == documented - FEWER[name]
    assert inside <= fields_within(TEMPLATES[name])


TYPST = {"guide.typ": contexts.GuideContext, "corrections-sheet.typ": contexts.SheetContext}


@pytest.mark.parametrize("name", TYPST)
def test_a_typst_template_uses_exactly_the_names_that_are_documented(name: str) -> None:
    source = re.sub(r"^//.*$", "", (HOME / name).read_text("utf-8"), flags=re.MULTILINE)
    assert set(re.findall(r"\bd\.(\w+)", source)) == set(TYPST[name].__struct_fields__)


def test_every_template_is_checked() -> None:
    assert {p.name for p in HOME.iterdir() if p.is_file()} == {*TEMPLATES, *TYPST, "guide.css"}


def test_every_field_of_every_context_is_documented() -> None:
    source = Path(contexts.__file__).read_text("utf-8")
    for kind in vars(contexts).values():
        if isinstance(kind, type) and issubclass(kind, Struct) and kind is not Struct:
            body = source.split(f"class {kind.__name__}(")[1].split("\nclass ")[0]
            for field in kind.__struct_fields__:
                after = body.split(f"    {field}:", 1)[1].split("\n")[1]
                assert after.strip().startswith('"""'), (kind.__name__, field)


def test_the_table_of_writers_is_as_agreed(golden: Callable[[str, str | bytes], None]) -> None:
    golden(
        "writers/writers.txt",
        "".join(f"{n}: {', '.join(w.files)}\n" for n, w in WRITERS.items()),
    )


def test_the_shipped_schema_is_that_of_the_records(request: pytest.FixtureRequest) -> None:
    path = Path(contexts.__file__).with_name("record.schema.json")
    made = json.dumps(json_schema(), ensure_ascii=False, indent=1) + "\n"
    if request.config.getoption("--update-golden"):
        path.write_text(made, "utf-8")
    assert path.read_text("utf-8") == made, "records have changed: run this test with --update-golden"


@pytest.mark.parametrize("record", [cabinet(), published(), without_times(cabinet()), bare("Hello")])
def test_records_keep_to_the_shipped_schema(record: EpisodeRecord) -> None:
    schema = json.loads(Path(contexts.__file__).with_name("record.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(to_json(record)), schema, cls=jsonschema.Draft202012Validator)


def test_everything_is_written_and_named(tmp_path: Path) -> None:
    written = write_outputs(cabinet(), tmp_path / "out")
    own_system = {"guide-inch.md", "guide-inch.html"}  # the sample is in inches itself
    every = [file for w in WRITERS.values() for file in w.files if file not in own_system]
    assert [p.name for p in written] == every
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == sorted(p.name for p in written)


def test_the_record_comes_back_as_it_was(tmp_path: Path) -> None:
    write_outputs(cabinet(), tmp_path, only=["record"])
    assert from_json((tmp_path / "record.json").read_bytes()) == cabinet()


def test_writing_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    first = {p.name: p.read_bytes() for p in write_outputs(cabinet(), tmp_path)}
    second = {p.name: p.read_bytes() for p in write_outputs(cabinet(), tmp_path)}
    assert first == second


def test_only_and_exclude_choose(tmp_path: Path) -> None:
    written = write_outputs(
        cabinet(), tmp_path, only=["captions", "chapters", "record"], exclude=["chapters"]
    )
    assert [p.name for p in written] == ["record.json", "captions.vtt", "captions.srt"]


def test_an_unknown_name_is_told_with_what_there_is(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match=r'no output called "captoins".*captions'):
        write_outputs(cabinet(), tmp_path, only=["captoins"])
    assert not list(tmp_path.iterdir())


def test_a_place_that_cannot_be_written_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file stands here")
    with pytest.raises(WriteError, match="cannot be written"):
        write_outputs(cabinet(), tmp_path / "out", only=["record"])


def test_a_failed_write_leaves_the_old_file_and_nothing_half_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (path,) = write_outputs(published(), tmp_path, only=["record"])
    before = path.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(WriteError, match="No space left"):
        write_outputs(cabinet(), tmp_path, only=["record"])
    monkeypatch.undo()
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["record.json"]


def test_a_build_may_bring_its_own_template(tmp_path: Path) -> None:
    mine = tmp_path / "templates"
    mine.mkdir()
    (mine / "show-notes.md.j2").write_text("Mine: {{ title }}\n")
    (path,) = write_outputs(cabinet(), tmp_path, only=["show-notes"], template_dir=mine)
    assert path.read_text() == "Mine: Sides, shelves and drawer fronts\n"


OWN_TYPST = "#let d = json(bytes(sys.inputs.data))\n#set document(title: d.title)\n= Mine\n#d.title\n"


@pytest.mark.parametrize("name", sorted({*TEMPLATES, *TYPST, "guide.css"}))
def test_a_build_may_override_any_template(name: str, tmp_path: Path) -> None:
    mine = tmp_path / "templates"
    mine.mkdir()
    own = {".typ": OWN_TYPST, ".css": "/* Mine */"}.get(Path(name).suffix, "Mine: {{ title }}\n")
    (mine / name).write_text(own, "utf-8")
    before = {p.name: p.read_bytes() for p in write_outputs(cabinet(), tmp_path / "theirs")}
    after = {p.name: p.read_bytes() for p in write_outputs(cabinet(), tmp_path / "mine", template_dir=mine)}
    changed = {file for file in after if after[file] != before[file]}
    assert changed
    stem, ending = name.partition(".")[0], Path(name.removesuffix(".j2")).suffix
    ending = {".css": ".html", ".typ": ".pdf"}.get(ending, ending)
    assert {Path(file).suffix for file in changed} == {ending}
    assert all(stem in file for file in changed)
    for file in changed:
        if not file.endswith(".pdf"):
            assert b"Mine" in after[file]


@pytest.mark.parametrize(
    ("template", "what"),
    [("{{ tilte }}", "may use: title"), ("{% if %}", r"line 1"), ("{{ title.x }}", "cannot be filled")],
)
def test_a_faulty_template_is_told_in_one_sentence(tmp_path: Path, template: str, what: str) -> None:
    (tmp_path / "show-notes.md.j2").write_text(template)
    with pytest.raises(WriteError, match=what):
        write_outputs(cabinet(), tmp_path / "out", only=["show-notes"], template_dir=tmp_path)


def test_a_faulty_typst_template_is_told(tmp_path: Path) -> None:
    (tmp_path / "guide.typ").write_text("#nonsense")
    with pytest.raises(WriteError, match="nonsense"):
        write_outputs(cabinet(), tmp_path / "out", only=["guide"], template_dir=tmp_path)


def test_an_unknown_template_is_told() -> None:
    with pytest.raises(WriteError, match="not part of the installation"):
        render("there-is-none.md.j2", contexts.Entry(text="x"))


def test_notes_without_times_give_no_files_that_need_them(tmp_path: Path) -> None:
    names = {p.name for p in write_outputs(without_times(cabinet()), tmp_path)}
    assert names.isdisjoint(
        {"captions.vtt", "captions.srt", "chapters.vtt", "chapters.json", "overlays.vtt", "overlays.csv"}
    )
    assert {"show-notes.md", "guide.html", "corrections.csv"} <= names


def test_one_word_is_enough(tmp_path: Path) -> None:
    assert {"record.json", "captions.vtt", "guide.pdf"} <= {
        p.name for p in write_outputs(bare("Hello"), tmp_path)
    }


def test_the_review_is_as_agreed(golden: Callable[[str, str | bytes], None]) -> None:
    golden("writers/cabinet.for-review.md", for_review(make_view(cabinet())))


def test_the_review_says_coverage_and_the_quiet_lists() -> None:
    text = for_review(make_view(cabinet())).decode()
    assert "5 of 9 listed sizes heard and agree, 2 disagree, 2 never said." in text
    assert "## Sizes never said\n\n- Shelf: thickness" in text
    assert "## Parts never mentioned\n\n- Pin hinge" in text


def test_the_review_always_gives_the_file_and_the_time_in_it() -> None:
    text = for_review(make_view(cabinet())).decode()
    assert "Listen at take-2.m4a 0:14 (1:20 running)" in text


def test_what_was_dismissed_is_not_asked_again() -> None:
    assert "grit was taken" not in for_review(make_view(cabinet())).decode()


def test_sureness_is_told_in_words() -> None:
    assert [how_sure(c) for c in (0.95, 0.7, 0.5, 0.0)] == [
        "almost sure (95 %)", "likely (70 %)", "perhaps (50 %)", "doubtful (0 %)",
    ]  # fmt: skip


@pytest.mark.slow
def test_others_read_the_webvtt_without_an_error(tmp_path: Path) -> None:
    files = []
    names = ("plain", "<b>&amp;", "--> 00:01", "\u05de\u05d3\u05e3", "a\n\nb")
    for number, record in enumerate(
        (
            cabinet(),
            with_cues(cabinet()),
            published(),
            bare("Hello"),
            long_talk(3000),
            *(hostile(n) for n in names),
        )
    ):
        for path in write_outputs(record, tmp_path / str(number), only=["captions", "chapters", "overlays"]):
            if path.suffix == ".vtt":
                kind = {"captions": "captions", "chapters": "chapters", "overlays": "metadata"}[path.stem]
                files.append((kind, path.read_text("utf-8")))
    answers = parsed_by_others(files)
    assert len(answers) == len(files)
    assert [a["errors"] for a in answers] == [[] for _ in files]
    assert all(vtt_faults(text) == [] for _, text in files)
    assert all(a["cues"] for a in answers)


@pytest.mark.slow
def test_the_other_reader_does_find_faults() -> None:
    (answer,) = parsed_by_others([("captions", "WEBVTT\n\n00:05.000 --> 00:01.000\n<b & c")])
    assert answer["errors"]
    assert vtt_faults("WEBVTT\n\n00:05.000 --> 00:01.000\n<b & c")


def test_a_size_that_the_list_bears_out_is_not_asked_about() -> None:
    record = cabinet()
    other = Candidate(Fraction(1, 100), "inch", "mil said for a thousandth")
    asked = replace(record.measures[0], candidates=(other,), verdict="disagrees")
    sure = replace(asked, verdict="agrees")
    title = "Sizes that can be read in more than one way"
    assert title in for_review(make_view(replace(record, measures=(asked,)))).decode()
    assert title not in for_review(make_view(replace(record, measures=(sure,)))).decode()


def test_a_finding_has_the_same_number_in_the_review_and_at_the_command_line() -> None:
    record = cabinet()
    text = for_review(make_view(record)).decode()
    told = [int(n) for n in re.findall(r"^### Finding (\d+):", text, re.MULTILINE)]
    heads = re.findall(r"^### Finding \d+: .*?: (.+)$", text, re.MULTILINE)
    assert len(told) > 1
    for number, head in zip(told, heads, strict=True):
        finding = numbered(record)[number - 1]
        assert finding.status == "open"
        assert head == ", ".join(t for t in (finding.part, finding.dimension) if t)


def test_a_file_that_a_later_run_has_nothing_for_is_taken_away(tmp_path: Path) -> None:
    write_outputs(cabinet(), tmp_path)
    (tmp_path / "my-own.txt").write_text("mine")
    assert (tmp_path / "captions.vtt").is_file()
    write_outputs(without_times(cabinet()), tmp_path)
    assert not (tmp_path / "captions.vtt").exists()
    assert (tmp_path / "my-own.txt").read_text() == "mine"
