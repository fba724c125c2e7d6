"""What leaves a hostile book in files: read by parsers of others, nothing of it is more than text."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.etree import ElementTree

import icalendar
import openpyxl
import pypdfium2
import pytest

from tests.hostile.shelf import hostile as hostile  # noqa: PLC0414 - a fixture
from tests.hostile.shelf import made as made  # noqa: PLC0414 - a fixture
from wellbook import cli

# OWASP, "CSV Injection": what a cell may not begin with.
FORMULA = re.compile(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20]|[\t\r\n]")
NUMBER = re.compile(r"-?\d+(\.\d+)?(e[-+]\d+)?$")
ALLOWED_CONTROLS = "\n\r\t"


def _cells(path: Path) -> Iterator[str]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        for row in csv.reader(file):
            yield from row


def _csv(path: Path) -> None:
    for cell in _cells(path):
        assert not FORMULA.match(cell) or NUMBER.match(cell), cell[:40]


def _folder(path: Path) -> None:
    files = sorted(path.rglob("*.csv"))
    assert files
    for file in files:
        _csv(file)
    assert all(part.name not in ("..", "passwd") for part in path.rglob("*"))


def _xlsx(path: Path) -> None:
    book = openpyxl.load_workbook(path)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert len(cells) > 50
    for cell in cells:
        assert cell.data_type != "f", cell.value
        assert cell.hyperlink is None
    book.close()


def _json(path: Path) -> None:
    json.loads(path.read_text("utf-8"))


# RFC 6350, section 3.3: a line of a card is a name, parameters, a colon and a value.
_LINE = re.compile(r"(?:[A-Za-z0-9-]+\.)?([A-Z-]+)(?:;[^:]*)?:")


def _unfolded(path: Path) -> list[str]:
    text = path.read_bytes().decode("utf-8")
    assert "\n" not in text.replace("\r\n", "")
    return re.sub(r"\r\n[ \t]", "", text).split("\r\n")[:-1]


def _vcf(path: Path) -> None:
    names = {"BEGIN", "VERSION", "FN", "N", "TEL", "EMAIL", "ADR", "NOTE", "UID", "REV", "END"}
    names |= {"PRODID", "ORG", "KIND", "LABEL", "X-ABLABEL", "CATEGORIES"}
    lines = _unfolded(path)
    for line in lines:
        match = _LINE.match(line)
        assert match and match[1] in names, line[:60]
    assert lines.count("BEGIN:VCARD") == lines.count("END:VCARD") > 0
    assert {x for x in lines if x.startswith("BEGIN")} == {"BEGIN:VCARD"}


def _ics(path: Path) -> None:
    for line in _unfolded(path):
        assert _LINE.match(line), line[:60]
    calendar = icalendar.Calendar.from_ical(path.read_bytes())
    kinds = {part.name for part in calendar.walk()}
    assert kinds <= {"VCALENDAR", "VEVENT", "VTODO", "VALARM", "VTIMEZONE", "STANDARD", "DAYLIGHT"}
    assert len(kinds) > 1


def _svg(path: Path) -> None:
    root = ElementTree.parse(path).getroot()
    names = {part.tag.rpartition("}")[2] for part in root.iter()}
    assert not names & {"script", "foreignObject", "a", "image", "use"}
    for part in root.iter():
        assert not any(name.startswith("on") or "href" in name for name in part.attrib)


def _pdf(path: Path) -> None:
    document = pypdfium2.PdfDocument(path)
    assert len(document)
    for page in document:
        text = page.get_textpage().get_text_range()
        # PDFium gives U+FFFE for a hyphen at a line's end.
        bad = [x for x in text if (x < " " and x not in "\r\n") or "\x7f" <= x <= "\x9f"]
        assert not bad, (bad, text[:80])
    document.close()


FILES: list[tuple[list[str], str, Callable[[Path], None]]] = [
    (["export", "out"], "out", _folder),
    (["export", "out.xlsx"], "out.xlsx", _xlsx),
    (["export", "out.geojson"], "out.geojson", _json),
    (["export", "out.vcf"], "out.vcf", _vcf),
    (["export", "out.json", "--well", "Q-1"], "out.json", _json),
    (["calendar", "out.ics"], "out.ics", _ics),
    (["draw", "Q-1", "out.svg"], "out.svg", _svg),
    (["checkups", "--csv", "out.csv"], "out.csv", _csv),
    *(
        (["print", what, *words, "--to", "out.pdf"], "out.pdf", _pdf)
        for what, words in (
            ("hole", ["Q-1", "Q-2", "L-1"]),
            ("sheet", ["Q-1"]),
            ("list", []),
            ("label", ["Q-1", "L-1"]),
            ("paper", ["Q-1", "pump_report"]),
            ("statement", ["Q-1"]),
        )
    ),
]


@pytest.mark.parametrize(
    ("words", "name", "check"), FILES, ids=[" ".join(w[:2]) for w, _, _ in FILES]
)
def test_what_leaves_in_a_file_is_text(
    words: list[str],
    name: str,
    check: Callable[[Path], None],
    hostile: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    status = cli.run(words)
    said = capsys.readouterr()
    assert status == 0, said.err
    check(Path(name))


def test_a_file_of_a_well_comes_out_under_a_name_of_its_own(
    hostile: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = set(Path().resolve().parent.iterdir())
    for number in ("1", "2"):
        assert cli.run(["files", "get", number]) == 0, capsys.readouterr().err
    assert set(Path().resolve().parent.iterdir()) == before
