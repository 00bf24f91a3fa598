"""Part lists in spreadsheets and PDFs, in odd encodings, and files that cannot be read."""

from __future__ import annotations

import gzip
import os
import time
import zipfile
import zlib
from fractions import Fraction
from pathlib import Path

import pytest
from sheet_files import Cell, ods, xlsx

from benchscribe.errors import PartListError
from benchscribe.partlist import read_part_list
from benchscribe.partlist.grid import LIMIT_LONG_ROWS, LIMIT_ROWS
from benchscribe.partlist.sheets import LIMIT_UNPACKED

ROWS: list[list[Cell]] = [
    ["Part", "Qty", "T", "W", "L", "Material"],
    ["Side", 2, 18.0, 252.5, 360.0, "birch ply"],
    ["Ring", 2, 6.0, "188 dia", None, "birch ply"],
]


def sizes(path: Path, part: int = 0) -> dict[str, Fraction | None]:
    return {s.dimension: s.value for s in read_part_list(path).parts[part].listed}


def test_an_xlsx_is_read(tmp_path: Path) -> None:
    path = xlsx(tmp_path / "parts.xlsx", {"Cut list": ROWS})
    assert sizes(path) == {"thickness": Fraction(18), "width": Fraction(505, 2), "length": Fraction(360)}


def test_an_ods_is_read(tmp_path: Path) -> None:
    path = ods(tmp_path / "parts.ods", ROWS)
    assert sizes(path, 1) == {"thickness": Fraction(6), "diameter": Fraction(188)}


def test_an_old_xls_is_read() -> None:
    path = Path(__file__).parent / "lists" / "old.xls"
    assert sizes(path) == {"thickness": Fraction(18), "width": Fraction(505, 2), "length": Fraction(360)}
    assert sizes(path, 1) == {"thickness": Fraction(6), "diameter": Fraction(188)}


def test_a_formula_gives_its_result_without_float_dust(tmp_path: Path) -> None:
    rows: list[list[Cell]] = [
        ["Part", "Qty", "T", "W", "L"],
        ["Rail", 2, "=0.1+0.2=>0.30000000000000004", 3.5, "=C2*10=>34.25"],
    ]
    assert sizes(xlsx(tmp_path / "p.xlsx", {"a": rows})) == {
        "thickness": Fraction(3, 10),
        "width": Fraction(7, 2),
        "length": Fraction(137, 4),
    }


def test_a_merged_cell_counts_for_every_row_it_covers(tmp_path: Path) -> None:
    rows: list[list[Cell]] = [
        ["Part", "Qty", "T", "W", "L", "Material"],
        ["Side", 2, 18.0, 252.0, 360.0, "birch ply"],
        ["Top", 1, 18.0, 252.0, 202.0, None],
    ]
    found = read_part_list(xlsx(tmp_path / "p.xlsx", {"a": rows}, merged=["F2:F3"]))
    assert [p.material for p in found.parts] == ["birch ply", "birch ply"]


def test_a_merged_heading_over_three_columns_is_read(tmp_path: Path) -> None:
    rows: list[list[Cell]] = [
        ["Part", "Qty", "Rough size", None, None, "Finished size", None, None],
        [None, None, "T", "W", "L", "T", "W", "L"],
        ["Leg", 4, 45.0, 50.0, 750.0, 40.0, 45.0, 720.0],
    ]
    found = read_part_list(xlsx(tmp_path / "p.xlsx", {"a": rows}, merged=["C1:E1", "F1:H1"])).parts[0]
    assert [(s.dimension, s.value) for s in found.listed if not s.rough] == [
        ("thickness", Fraction(40)),
        ("width", Fraction(45)),
        ("length", Fraction(720)),
    ]


def test_a_second_sheet_with_hardware_is_added(tmp_path: Path) -> None:
    hardware: list[list[Cell]] = [["Item", "Qty", "Length", "Notes"], ["Butt hinge", 4, 50.0, "brass"]]
    cover: list[list[Cell]] = [["Bookcase"], ["drawn last winter"]]
    found = read_part_list(
        xlsx(tmp_path / "p.xlsx", {"Cover": cover, "Cut list": ROWS, "Hardware": hardware})
    )
    assert [p.name for p in found.parts] == ["Side", "Ring", "Butt hinge"]
    assert found.parts[2].hardware


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252", "utf-16-le"])
def test_any_usual_encoding_is_read(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "parts.csv"
    path.write_bytes("Part,Qty,Ø,Length,Ends\nPin,2,12½,40,5° taper\n".encode(encoding))
    assert sizes(path) == {"diameter": Fraction(25, 2), "length": Fraction(40), "angle": Fraction(5)}


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_any_line_end_is_read(tmp_path: Path, ends: str) -> None:
    path = tmp_path / "parts.csv"
    path.write_bytes(ends.join(["Part,Qty,T,W,L", "Leg,4,40,40,720", ""]).encode())
    assert len(read_part_list(path).parts) == 1


def test_a_note_of_two_lines_stays_one_cell(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text(
        'Part,Qty,T,W,L,Notes\nLeg,4,40,40,720,"taper inside,\nlast 300"\nRail,2,20,90,600,\n',
        encoding="utf-8",
    )
    found = read_part_list(path).parts
    assert [p.name for p in found] == ["Leg", "Rail"]
    assert [p.row for p in found] == [2, 4]


def pdf(folder: Path, table: str) -> Path:
    typst = pytest.importorskip("typst")
    source = folder / "list.typ"
    source.write_text(table, encoding="utf-8")
    target = folder / "list.pdf"
    typst.compile(str(source), output=str(target))
    return target


CELLS = [
    "Part",
    "Qty",
    "T",
    "W",
    "L",
    "Leg",
    "4",
    "1 3/4",
    "1 3/4",
    "28 1/4",
    "Long rail",
    "2",
    "3/4",
    "3 1/2",
    "44",
]


def test_a_table_with_lines_in_a_pdf_is_read(tmp_path: Path) -> None:
    path = pdf(tmp_path, "= A stool\n#table(columns: 5, " + ", ".join(f"[{c}]" for c in CELLS) + ")")
    found = read_part_list(path).parts
    assert [p.name for p in found] == ["Leg", "Long rail"]
    assert [s.value for s in found[1].listed] == [Fraction(3, 4), Fraction(7, 2), Fraction(44)]


def test_a_table_without_lines_in_a_pdf_is_read(tmp_path: Path) -> None:
    path = pdf(
        tmp_path,
        "#table(columns: 5, stroke: none, column-gutter: 2em, " + ", ".join(f"[{c}]" for c in CELLS) + ")",
    )
    found = read_part_list(path).parts
    assert [p.name for p in found] == ["Leg", "Long rail"]
    assert [s.value for s in found[0].listed] == [Fraction(7, 4), Fraction(7, 4), Fraction(113, 4)]


def test_a_table_that_runs_over_a_page_is_read_whole(tmp_path: Path) -> None:
    rows = ", ".join(f"[Slat {n}], [2], [12], [40], [{300 + n}]" for n in range(1, 60))
    path = pdf(tmp_path, "#table(columns: 5, [Part], [Qty], [T], [W], [L], " + rows + ")")
    assert len(read_part_list(path).parts) == 59


def test_a_pdf_without_text_is_told_to_be_a_picture(tmp_path: Path) -> None:
    path = pdf(tmp_path, "#rect(width: 4cm, height: 3cm)")
    with pytest.raises(PartListError, match="a picture and no text"):
        read_part_list(path)


@pytest.mark.slow
def test_a_hundred_thousand_rows_are_read_in_seconds(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    lines = [f"Part {n},2,18,{100 + n % 700},{200 + n % 1300},pine,groove 6 x 9" for n in range(100_000)]
    path.write_text("Part,Qty,T,W,L,Material,Notes\n" + "\n".join(lines) + "\n", encoding="utf-8")
    began = time.perf_counter()
    assert len(read_part_list(path).parts) == 100_000
    assert time.perf_counter() - began < 60


def refuse(path: Path, words: str) -> None:
    with pytest.raises(PartListError, match=words) as caught:
        read_part_list(path)
    assert path.name in str(caught.value)


@pytest.mark.slow
def test_a_zip_bomb_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as member,
    ):
        for _ in range(LIMIT_UNPACKED // 2**20 + 2):
            member.write(bytes(2**20))
    refuse(path, "unpacks to more than")


def test_a_list_without_headings_is_refused_with_what_would_help(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Leg,4,40,40,720\nRail,2,20,90,600\n", encoding="utf-8")
    refuse(path, "no row of headings")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    refuse(tmp_path / "nowhere.csv", "cannot be read")


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("empty.csv", b"", "is empty"),
        ("blank.csv", b"\n\n , \n", "is empty|no row of headings"),
        ("only-headings.csv", b"Part,Qty,T,W,L\n", "no parts under them"),
        ("broken.xlsx", b"PK\x03\x04 and nothing more", "cannot be read|damaged"),
        ("broken.ods", b"PK\x03\x04 and nothing more", "cannot be read|damaged"),
        ("broken.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "cannot be read|damaged"),
        ("broken.pdf", b"%PDF-1.7 nothing", "cannot be read|picture|no table"),
        ("sound.csv", bytes(range(256)) * 40, "no text file|no row of headings"),
        ("drawing.dwg", b"AC1032", "is not read"),
    ],
)
def test_a_file_that_cannot_be_read_gets_a_clear_answer(
    tmp_path: Path, name: str, data: bytes, words: str
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    refuse(path, words)


GOOD = "Part,Qty,T,W,L\nLeg,4,40,40,720\n"


@pytest.mark.parametrize("name", ["list.xlsx", "list.ods", "list.xls", "list.pdf", "list.txt", "list"])
def test_a_text_list_with_another_name_is_read(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text(GOOD)
    assert sizes(tmp_path / name)["length"] == 720


def test_a_spreadsheet_called_csv_is_read(tmp_path: Path) -> None:
    path = xlsx(tmp_path / "a.xlsx", {"A": ROWS}).rename(tmp_path / "a.csv")
    assert sizes(path)["length"] == 360


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("shot.csv", b"\x89PNG\r\n\x1a\n" + bytes(90), "a picture"),
        ("page.csv", b"<html><table><tr><td>Part</td></tr></table></html>", "a web page"),
        ("list.docx", b"PK\x03\x04" + bytes(90), "'.docx' is not read"),
        ("words.csv", b"Leg\nRail\n", "no row of headings"),
        ("list.csv", gzip.compress(GOOD.encode()), "no text file|no row of headings"),
    ],
)
def test_another_kind_of_file_is_named(tmp_path: Path, name: str, data: bytes, words: str) -> None:
    (tmp_path / name).write_bytes(data)
    refuse(tmp_path / name, words)


def test_a_pdf_that_unpacks_to_gigabytes_is_refused(tmp_path: Path) -> None:
    packed = zlib.compress(bytes(250 * 1024 * 1024), 9)
    path = tmp_path / "parts.pdf"
    path.write_bytes(
        b"%PDF-1.7\n1 0 obj <</Filter /FlateDecode /Length 9>>\nstream\n"
        + packed
        + b"\nendstream endobj\n%%EOF\n"
    )
    refuse(path, "unpacks to more than")


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    os.mkfifo(tmp_path / "parts.csv")
    refuse(tmp_path / "parts.csv", "no file that can be read")


FAR_ODS = (
    '<table:table-row table:number-rows-repeated="1048000"><table:table-cell office:value-type="float" office:value="1" '
    'table:number-columns-repeated="16000"><text:p>1</text:p></table:table-cell></table:table-row>'
)


def far(folder: Path, name: str, cell: str) -> Path:
    """Copy a spreadsheet with one more cell in it."""
    source = (
        xlsx(folder / "near.xlsx", {"A": ROWS}) if name.endswith("xlsx") else ods(folder / "near.ods", ROWS)
    )
    place, before = (
        ("xl/worksheets/sheet1.xml", "</sheetData>")
        if name.endswith("xlsx")
        else ("content.xml", "</table:table>")
    )
    target = folder / name
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.namelist():
            text = old.read(member).decode()
            new.writestr(member, text.replace(before, cell + before) if member == place else text)
    return target


@pytest.mark.parametrize(
    ("name", "cell"),
    [
        ("far.xlsx", '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'),
        (
            "far.ods",
            FAR_ODS,
        ),
    ],
)
def test_a_stray_cell_at_the_end_of_the_sheet_takes_no_memory(tmp_path: Path, name: str, cell: str) -> None:
    refuse(far(tmp_path, name, cell), "lie too far apart")


def test_blank_rows_to_the_end_of_the_sheet_are_no_stray_cells(tmp_path: Path) -> None:
    blank = '<row r="1048576"><c r="XFD1048576" s="1"/></row>'
    assert sizes(far(tmp_path, "far.xlsx", blank))["length"] == 360
    rows = '<table:table-row table:number-rows-repeated="1048000"><table:table-cell table:number-columns-repeated="16000"/></table:table-row>'
    assert sizes(far(tmp_path, "far.ods", rows))["length"] == 360


def test_more_rows_than_any_list_has_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L\n" + "a,1,1,1,1\n" * (LIMIT_ROWS + 1))
    refuse(path, f"more than {LIMIT_ROWS} rows")


def test_very_many_rows_with_long_notes_are_refused_and_not_read_for_minutes(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    rows = (
        f"Part {n},1,groove {n} wide and {n} deep at {'x' * 300} {n}\n" for n in range(LIMIT_LONG_ROWS + 1)
    )
    path.write_text("Part,Qty,Notes\n" + "".join(rows))
    refuse(path, f"more than {LIMIT_LONG_ROWS} rows with long notes")


@pytest.mark.parametrize(
    "cell",
    [
        "9" * 20_000,
        "1/" * 20_000,
        "1 x " * 5_000,
        "(1 " * 7_000,
        "1' " * 7_000,
        "½" * 20_000,
        "1 1/2 " * 3_000,
    ],
)
@pytest.mark.parametrize("column", range(7))
def test_a_cell_of_thousands_of_signs_takes_no_time_and_is_named(
    tmp_path: Path, cell: str, column: int
) -> None:
    row = ["Leg", "4", "40", "40", "720", "oak", "plain"]
    row[column] = cell
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L,Material,Notes\nRail,2,20,90,600,oak,\n" + ",".join(row) + "\n")
    began = time.process_time()
    found = read_part_list(path)
    assert time.process_time() - began < 2
    assert any("signs; only the first 500 were read" in n.note and n.row == 3 for n in found.not_understood)


def test_signs_that_nobody_sees_are_no_part_of_a_name(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L\n\ufeffL\u200beg\u202e,4,40,40,720\n", encoding="utf-8")
    assert read_part_list(path).parts[0].name == "Leg"


def test_a_quotation_mark_left_open_loses_no_row(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L,Notes\n" + "".join(f'"Leg {n},2,40,40,720,\n' for n in range(9)))
    assert [p.name for p in read_part_list(path).parts] == [f"Leg {n}" for n in range(9)]


@pytest.mark.parametrize("size", ["-40", "1e3", "nan", "#REF!", "#DIV/0!"])
def test_what_is_no_size_is_named(tmp_path: Path, size: str) -> None:
    path = tmp_path / "parts.csv"
    path.write_text(f"Part,Qty,T,W,L\nLeg,4,40,40,{size}\n")
    found = read_part_list(path, units="mm")
    assert [(n.row, n.column) for n in found.not_understood] == [(2, "L")]
    assert "length" not in {s.dimension for s in found.parts[0].listed if s.value is not None}


def test_a_merge_over_filled_cells_covers_none_of_them(tmp_path: Path) -> None:
    path = xlsx(tmp_path / "m.xlsx", {"A": ROWS}, merged=["A1:XFD1", "A4:Z1048576"])
    assert sizes(path)["length"] == 360


def test_a_folder_is_no_part_list(tmp_path: Path) -> None:
    refuse(tmp_path, "a folder")


def test_a_size_that_became_a_date_is_named(tmp_path: Path) -> None:
    path = tmp_path / "parts.ods"
    ods(path, [["Part", "Qty", "T", "W", "L"], ["Leg", 4.0, 40.0, 40.0, 720.0]])
    with zipfile.ZipFile(path) as archive:
        content = archive.read("content.xml").decode()
        manifest = archive.read("META-INF/manifest.xml")
    dated = content.replace(
        'office:value-type="float" office:value="720.0"',
        'office:value-type="date" office:date-value="2026-03-04"',
    )
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", dated)
        archive.writestr("META-INF/manifest.xml", manifest)
    found = read_part_list(path, units="mm")
    assert [(n.row, n.column) for n in found.not_understood] == [(2, "L")]
    assert "date" in found.not_understood[0].note


def test_a_stated_unit_stands(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L\nLeg,4,2,2,30\n", encoding="utf-8")
    assert read_part_list(path, units="mm").units == "mm"


def test_other_names_from_the_build_are_added(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L\nCarriage side,2,3/4,2 1/2,34\n", encoding="utf-8")
    found = read_part_list(path, other_names={"carriage side": ["cheek", "wall"]})
    assert found.parts[0].other_names == ("cheek", "wall")


def test_a_name_that_stands_twice_is_said(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L\nShelf,1,18,280,464\nShelf,1,18,260,464\n", encoding="utf-8")
    assert [n.row for n in read_part_list(path).not_understood] == [3]
