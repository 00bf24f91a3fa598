"""Makes small spreadsheet files by hand, so that no test needs a program that writes them."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape

Cell = str | float | None

_TYPES = (
    '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    "{sheets}</Types>"
)
_SHEET_TYPE = (
    '<Override PartName="/xl/worksheets/sheet{n}.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
)
_RELS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" '
    'Target="xl/workbook.xml"/></Relationships>'
)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def column(index: int) -> str:
    return chr(ord("A") + index)


def sheet_xml(rows: Sequence[Sequence[Cell]], merged: Sequence[str] = ()) -> str:
    lines = []
    for r, row in enumerate(rows, 1):
        cells = []
        for c, value in enumerate(row):
            ref = f"{column(c)}{r}"
            if value is None or value == "":
                continue
            if isinstance(value, str) and value.startswith("="):
                formula, _, result = value[1:].partition("=>")
                cells.append(f'<c r="{ref}"><f>{escape(formula)}</f><v>{result}</v></c>')
            elif isinstance(value, str):
                cells.append(f'<c r="{ref}" t="inlineStr"><is><t>{escape(value)}</t></is></c>')
            else:
                cells.append(f'<c r="{ref}"><v>{value!r}</v></c>')
        lines.append(f'<row r="{r}">{"".join(cells)}</row>')
    spans = "".join(f'<mergeCell ref="{m}"/>' for m in merged)
    merges = f'<mergeCells count="{len(merged)}">{spans}</mergeCells>' if merged else ""
    return f'<?xml version="1.0"?><worksheet xmlns="{_MAIN}"><sheetData>{"".join(lines)}</sheetData>{merges}</worksheet>'


def xlsx(path: Path, sheets: dict[str, Sequence[Sequence[Cell]]], merged: Sequence[str] = ()) -> Path:
    """Write an XLSX; "=A1+B1=>3.5" is a formula with the result that the program last worked out."""
    names = list(sheets)
    tags = "".join(f'<sheet name="{escape(n)}" sheetId="{i}" r:id="rId{i}"/>' for i, n in enumerate(names, 1))
    links = "".join(
        f'<Relationship Id="rId{i}" Type="{_REL}/worksheet" Target="worksheets/sheet{i}.xml"/>'
        for i in range(1, len(names) + 1)
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "[Content_Types].xml",
            _TYPES.format(sheets="".join(_SHEET_TYPE.format(n=i) for i in range(1, len(names) + 1))),
        )
        archive.writestr("_rels/.rels", _RELS)
        archive.writestr(
            "xl/workbook.xml",
            f'<?xml version="1.0"?><workbook xmlns="{_MAIN}" xmlns:r="{_REL}"><sheets>{tags}</sheets></workbook>',
        )
        archive.writestr(
            "xl/_rels/workbook.xml.rels",
            '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
            f"{links}</Relationships>",
        )
        for i, name in enumerate(names, 1):
            archive.writestr(f"xl/worksheets/sheet{i}.xml", sheet_xml(sheets[name], merged if i == 1 else ()))
    return path


def ods(path: Path, rows: Sequence[Sequence[Cell]]) -> Path:
    """Write an ODS with one sheet."""
    lines = []
    for row in rows:
        cells = []
        for value in row:
            if value is None:
                cells.append("<table:table-cell/>")
            elif isinstance(value, str):
                cells.append(
                    f'<table:table-cell office:value-type="string"><text:p>{escape(value)}</text:p></table:table-cell>'
                )
            else:
                cells.append(
                    f'<table:table-cell office:value-type="float" office:value="{value!r}"><text:p>{value}</text:p></table:table-cell>'
                )
        lines.append(f"<table:table-row>{''.join(cells)}</table:table-row>")
    content = (
        '<?xml version="1.0" encoding="UTF-8"?><office:document-content '
        'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"><office:body><office:spreadsheet>'
        f'<table:table table:name="Parts">{"".join(lines)}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        '<?xml version="1.0" encoding="UTF-8"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        '<manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
        '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'
    )
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest)
    return path
