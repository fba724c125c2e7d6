"""Files to read, and what was read of them, for the tests."""

import zipfile
from pathlib import Path

from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import data_rows, header_of, look

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"


def mapped(path: Path, sheet: str = "") -> WellMapping:
    return propose(look(path, sheet), "s")


def rows_of(path: Path, sheet: str = "") -> list[FileRow]:
    return list(data_rows(path, mapped(path, sheet)))


def records(path: Path, sheet: str = "") -> list[dict[str, str]]:
    """The rows as a reader of CSV with names gives them."""
    mapping = mapped(path, sheet)
    header = header_of(path, mapping)
    return [dict(zip(header, r.cells, strict=False)) for r in data_rows(path, mapping)]


def targets(text: str, folder: Path) -> dict[str, str]:
    """What each header of a small file is read as."""
    path = folder / "targets.csv"
    path.write_text(text, encoding="utf-8")
    return {c.name: t for t, c in mapped(path).columns.items()}


_TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships'
    '+xml"/><Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-'
    'officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml"'
    ' ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
    "</Types>"
)
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_RELATIONS = (
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="rId1" Type="{}/{}" Target="{}"/></Relationships>'
)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def sheet_xml(body: str, after: str = "") -> str:
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{body}</sheetData>{after}</worksheet>'


def bare_workbook(path: Path, sheet: str, **more: str) -> Path:
    """The least that ECMA-376 asks of a workbook, around the XML of one sheet."""
    workbook = (
        f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>'
        '<sheet name="S" sheetId="1" r:id="rId1"/></sheets></workbook>'
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", _TYPES)
        archive.writestr(
            "_rels/.rels", _RELATIONS.format(_OFFICE, "officeDocument", "xl/workbook.xml")
        )
        archive.writestr("xl/workbook.xml", workbook)
        archive.writestr(
            "xl/_rels/workbook.xml.rels",
            _RELATIONS.format(_OFFICE, "worksheet", "worksheets/sheet1.xml"),
        )
        archive.writestr("xl/worksheets/sheet1.xml", sheet)
        for name, text in more.items():
            archive.writestr(name.replace("__", "/") + ".xml", text)
    return path
