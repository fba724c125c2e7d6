"""`wellbook calendar` as a user meets it: written twice, and read by two other libraries."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import vobject
from icalendar import Calendar
from reminding import Reminding

pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Reminding:
    return Reminding(capsys)


def _read(path: Path) -> tuple[dict[str, Any], dict[str, Any]]:
    """Events and to-dos by UID; a second reader has to find the same."""
    calendar: Any = Calendar.from_ical(path.read_bytes())
    found = tuple({str(x["UID"]): x for x in calendar.walk(n)} for n in ("VEVENT", "VTODO"))
    other: Any = vobject.readOne(path.read_text("utf-8"))
    for name, mine in zip(("vevent", "vtodo"), found, strict=True):
        assert {x.uid.value for x in other.contents.get(name, [])} == set(mine)
    return found  # type: ignore[return-value]


def test_a_second_file_updates_the_first(run: Reminding, tmp_path: Path) -> None:
    run.settle_in(tmp_path)
    path = tmp_path / "out.ics"
    run.fine("contact", "TF-0014", "--booked", "2026-12-03", "--at", "9:30", "--crew", "Lu")
    assert re.match(r"\d visits?, \d+ to-dos: ", run.fine("calendar", str(path)))
    first, data = _read(path), path.read_bytes()
    run.fine("calendar", str(path))
    assert path.read_bytes() == data
    run.fine("contact", "TF-0014", "--booked", "2026-12-04", "--at", "2:15 pm")
    run.fine("calendar", str(path))
    second = _read(path)
    (uid,) = (uid for uid, x in first[0].items() if "TF-0014" in x["SUMMARY"])
    assert (first[0][uid]["SEQUENCE"], second[0][uid]["SEQUENCE"]) == (0, 1)
    assert second[0][uid]["DTSTART"].dt.isoformat() == "2026-12-04T14:15:00-06:00"
    assert first[1].keys() == second[1].keys()
    assert {x["SEQUENCE"] for x in second[1].values()} == {0}


def test_one_persons_calendar(run: Reminding, tmp_path: Path) -> None:
    run.settle_in(tmp_path)
    run.fine("contact", "TF-0014", "--booked", "2026-12-03", "--crew", "Lu")
    run.fine("contact", "TF-0003", "--booked", "2026-12-03", "--crew", "Marit")
    path = tmp_path / "lu.ics"
    assert run.fine("calendar", str(path), "--crew", "Lu") == f"1 visit, no to-dos: {path}\n"
    said = run.refused("calendar", str(path), "--crew", "Zed", status=1)
    assert "--crew: no visit is booked for 'Zed'; visits are booked for: Lu, Marit" in said


def test_what_cannot_be_written_leaves_the_old_file(run: Reminding, tmp_path: Path) -> None:
    for no_file in (str(tmp_path), "-", ""):
        assert "is no file to write" in run.refused("calendar", no_file)
    assert "no such file or directory" in run.refused("calendar", str(tmp_path / "no" / "x.ics"))
    run.fine("contact", "TF-0014", "--booked", "2026-12-03", "--at", "9")
    run.fine("shop", "set", "time_zone", "default")
    path = tmp_path / "x.ics"
    said = run.refused("calendar", str(path))
    assert "wellbook shop set time_zone America/Chicago" in said
    assert not path.exists()
