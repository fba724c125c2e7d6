"""What stands on each page: the record's facts with basis and date, and that the rest is not known."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from printed_pages import DAY, SHOP, Pages, misplaced

from wellbook.hole.sheet import read_sheet
from wellbook.paper.blocks import Blank, Choice, Lines
from wellbook.paper.booklet import MARGIN
from wellbook.paper.hole_leaves import hole_leaves
from wellbook.paper.hole_on_paper import HoleOnPaper
from wellbook.paper.visit_list import visit_list
from wellbook.paper.visit_sheet import visit_sheet
from wellbook.reminders.driving import Day, Visit
from wellbook.reminders.visit_list import Room, Stop, VisitList
from wellbook.rules import names
from wellbook.rules.finding import Finding
from wellbook.store.due_list import DueItem
from wellbook.store.lives import Life
from wellbook.terms import Occasion, Said, Severity

Wells = Callable[[str], HoleOnPaper]


def in_order(text: str, *words: str) -> bool:
    """Whether all stand there, each after the one before."""
    at = 0
    for word in words:
        at = text.find(word, at)
        if at < 0:
            return False
        at += len(word)
    return True


@pytest.mark.parametrize("tag", ["TF-0031", "TF-0051", "TF-0056", "TF-0063", "TF-0064"])
def test_every_page_says_whose_it_is_when_it_was_made_and_which_it_is(
    tag: str, well: Wells
) -> None:
    found = well(tag)
    for booklet in (hole_leaves(found, SHOP), visit_sheet(found, SHOP)):
        pages = Pages(booklet)
        count = len(pages.texts)
        for n, text in enumerate(pages.texts, start=1):
            assert tag in text
            assert "as of 2026-11-25" in text
            assert text.endswith(f"{SHOP} page {n} of {count}")


def test_the_well_page_says_what_the_screen_says(well: Wells) -> None:
    found = well("TF-0031")
    pages = Pages(hole_leaves(found, SHOP))
    assert len(pages.texts) == 5
    heads = ("THE BORE", "THE STRING", "HOW DEEP IT MAY GO", "READINGS", "WRONG OR DUE")
    assert in_order(pages.text, *heads, "TO LOAD", "MIND", "LAST")
    page = found.page
    for line in (*page.place, *page.bore, *page.string, *page.readings, *page.last):
        assert line.text in pages.text or line.text.split(",")[0] in pages.text, line
    for finding in page.findings:
        assert all(reason[:30] in pages.text for reason in finding.reasons)
    for caution in page.cautions:
        assert f"· {caution}" in pages.text
    assert "160 psi pipe, column alone" in pages.texts[0] and "363 ft" in pages.texts[0]
    assert "● 2025-09-09" in pages.text


def test_what_is_not_known_says_so(well: Wells) -> None:
    page = Pages(hole_leaves(well("TF-0051"), SHOP)).text
    assert "seal, pipe, cable, pump, tank and switch: nothing on record" in page
    assert "READINGS nothing on record" in page
    assert "no visit and no call on record" in page
    assert "how far down is the water, pump off?" in page
    sheet = Pages(visit_sheet(well("TF-0051"), SHOP)).text
    for label in ("Volts, pump off and on", "Static level", "Air in the tank, drained"):
        assert re.search(rf"{label} (\S+ )*?not on record", sheet), label


def test_a_well_that_is_not_drilled_yet_has_pages_without_a_drawing(well: Wells) -> None:
    found = well("TF-0031")
    early = found.hole.on(date(1990, 1, 1))
    section = replace(found.section, hole=early, scene=replace(found.section.scene, features=()))
    pages = Pages(hole_leaves(replace(found, section=section), SHOP))
    assert "what is there" not in pages.text
    assert in_order(pages.text, "THE BORE", "● measured", "THE STRING")


def test_the_sheet_has_the_common_core_in_its_order(well: Wells) -> None:
    """The parts of a check-up as NGWA's consumer text and Minnesota's have them."""
    text = Pages(visit_sheet(well("TF-0031"), SHOP)).text
    assert in_order(
        *(text, "HEAD", "Cap whole", "Vent screen", "Casing above ground", "Corrosion", "Conduit"),
        *("Ground slopes", "Hazards within 50 ft", "ELECTRICAL", "Volts", "Amps", "Insulation"),
        *("Ground wire", "Contacts", "HYDRAULIC", "Static level", "Measured from", "Pumping"),
        *("Flow", "Pump starts and stops", "Air in the tank", "Drawdown", "cycle"),
        *("WATER", "Sample taken", "Laboratory", "Results", "THE STRING", "Found", "Pulled"),
        *("Set", "PAPER", "Report given", "Next visit due", "Left for next time", "Notes"),
    )
    assert "12.4 A ● 2025-09-09" in text and "168 ft below casing top" in text


def test_a_job_that_opens_the_well_begins_with_what_waited_for_it(well: Wells) -> None:
    found = well("TF-0031")
    opened = Pages(visit_sheet(found, SHOP, opens=True)).text
    assert in_order(opened, "FOR THIS PULL", "cable has 6 rubs", "WRONG OR DUE", "TO LOAD")
    closed = Pages(visit_sheet(found, SHOP)).text
    assert "FOR THIS PULL" not in closed and "If the well is opened after all: 5 more" in closed


VALUES: dict[str, Any] = {
    "date": "2026-11-25",
    "start": "2026-11-25",
    "end": "2026-11-25",
    "reason": "check up",
    "crew": ["Marit"],
    "disinfected": True,
    "left_for_next_time": "a",
    "notes": "a",
}
READING: dict[str, Any] = {
    "value": 30,
    "state": "static",
    "point": "casing top",
    "method": "sounder",
    "at_gpm": 5,
    "minutes": 60,
}
SAMPLE: dict[str, Any] = {
    "taken_on": "2026-11-25",
    "note": "a",
    "laboratory": "a",
    "bacteria": "absent",
    "nitrate_mg_l": 1,
    "arsenic_mg_l": 0.001,
}


def test_every_name_on_the_sheet_is_one_that_can_be_typed_in(well: Wells) -> None:
    """The names under the labels, put together as a sheet, are taken by what reads sheets."""
    booklet = visit_sheet(well("TF-0031"), SHOP)
    blocks = booklet.sections[0].blocks
    fields = [b.field for b in blocks if isinstance(b, Blank | Choice | Lines) and b.field]
    sheet: dict[str, Any] = {"date": "2026-11-25", "reason": "check up", "measured": {}}
    seen = 0
    for field in fields:
        names = re.findall(r"[a-z_]+(?:\.[a-z_]+)?", field.replace("[[sample]]", "sample."))
        if field.startswith("[[found]]") and "what" in field:
            sheet.setdefault("found", []).append({"what": field.split('"')[1]})
        elif field.startswith("[[sample]]"):
            rows = re.findall(r"[a-z_]+", field.removeprefix("[[sample]]"))
            sheet.setdefault("sample", [{}])[0].update({name: SAMPLE[name] for name in rows})
        elif field.startswith("measured."):
            several = [name.removeprefix("measured.") for name in names if "." in name]
            own = [name for name in names if "." not in name]
            for quantity in several:
                sheet["measured"][quantity] = {n: READING[n] for n in ("value", *own)}
        elif not field.startswith(("well edit", "[")):
            sheet.update({name: VALUES[name] for name in names})
        seen += 1
    assert seen == len(fields) > 15
    made = read_sheet({k: v for k, v in sheet.items() if k != "start"}, today=DAY)
    assert len(made.measured) >= 10 and len(made.found) == 2 and len(made.samples) == 1


def test_the_answers_of_the_water_are_words_of_a_sheet(well: Wells) -> None:
    blocks = visit_sheet(well("TF-0031"), SHOP).sections[0].blocks
    choices = {b.label: b.answers for b in blocks if isinstance(b, Choice)}
    for state in choices["The water"]:
        read_sheet(
            {
                "date": "2026-11-25",
                "reason": "check up",
                "measured": {"water_level_ft": {"value": 30, "state": state}},
            },
            today=DAY,
        )


def test_the_same_input_gives_the_same_bytes(well: Wells) -> None:
    found = well("TF-0031")
    one, two = (Pages(hole_leaves(found, SHOP), visit_sheet(found, SHOP)) for _ in range(2))
    assert one.data == two.data


# -- the list -----------------------------------------------------------------------------------


BY = date(2027, 3, 31)
CHECK_UP = Finding(
    rule=names.CHECK_UP,
    subject="check-up",
    occurrence="check-up:root",
    may_from=date(2026, 9, 9),
    surely_from=date(2026, 9, 9),
    severity=Severity.PLAN,
    occasion=Occasion.NEXT_VISIT,
    reason="last check-up 2025-09-09; one is due every 12 months",
    action="offer a check-up",
    source="",
)
OWED = replace(
    CHECK_UP,
    rule=names.SAMPLES_OWED,
    subject="bacteria sample owed",
    severity=Severity.ACT,
    reason="well opened 2026-08-11",
    action="take a sample for bacteria",
)
INSULATION = replace(
    CHECK_UP,
    rule=names.INSULATION,
    subject="insulation",
    reason="insulation fell",
    numbers={"before_megohm": 200, "megohm": 20},
)
LIFE = Life(Said.BOOKED, DAY, "call", "", date(2027, 3, 2), "09:00", "Marit", "uid")


def stop(*tags: str, findings: tuple[Finding, ...] = (CHECK_UP,), **values: Any) -> Stop:
    """A property with the same findings at each of its wells; nothing else of it is known."""
    unknown = dict.fromkeys(("customer", "phone", "road", "town", "access", "well_head"), "")
    items = tuple(
        DueItem(tag, 1, "", "", "", "", finding, LIFE if finding is CHECK_UP else None)
        for tag in tags
        for finding in findings
    )
    known = {**unknown, "latitude": None, "longitude": None, **values}
    return Stop(site_id=1, wells=tags, items=items, **known)


def printed(
    well: Wells, *stops: Stop, left_over: tuple[Stop, ...] = (), room: Room | None = None
) -> Pages:
    visits = tuple(Visit(one, 7.42 if one.customer else None, 45.0) for one in stops)
    days = (Day(1, visits, 15.0),) if visits else ()
    found = VisitList(BY, days, left_over, (42.05, -101.45), room)
    tags = [tag for one in stops for tag in one.wells]
    return Pages(visit_list(found, {tag: well(tag) for tag in tags}, SHOP, DAY))


ORLA = stop(
    "TF-0031",
    findings=(CHECK_UP, OWED, INSULATION),
    customer="Orla Venterick",
    phone="555-0131",
    road="4 Larkspur Bend",
    town="Nettlewick",
    access="Gate code on the lid",
    well_head="Behind the barn",
)
CAMP = stop("TF-0055", "TF-0056", road="Lake Rd, camp gate", town="Ambelow")


def test_the_list_begins_with_its_stops_in_order_and_says_what_its_miles_are(well: Wells) -> None:
    pages = printed(well, ORLA, CAMP, room=Room(1, 2), left_over=(ORLA,))
    first = pages.texts[0]
    assert in_order(
        *(first, "Check-ups due by 2027-03-31", "Day 1 · 2 stops · 15 mi there and back"),
        *("to load", "sample bottles (stop 1)", "the tester (stop 1)"),
        *("1 · Orla Venterick · 4 Larkspur Bend, Nettlewick · 7.4 mi NE", "555-0131 · TF-0031"),
        *("due", "check-up due since 2026-09-09", "said booked for 2027-03-02 09:00 Marit"),
        *("2 · customer unknown", "no coordinates", "no number · TF-0055 · TF-0056"),
        *("1 more is due and finds no room", "Orla Venterick", "due since 2026-09-09"),
        *("roads are longer", "no coordinates: TF-0031, TF-0055", "MIND", "power off"),
    )


def test_each_property_begins_a_page_with_all_its_wells(well: Wells) -> None:
    pages = printed(well, ORLA, CAMP, room=Room(1, 2))
    begins = [n for n, text in enumerate(pages.texts) if " where " in text]
    assert len(begins) == 2
    orla, camp = pages.texts[begins[0]], " ".join(pages.texts[begins[1] :])
    assert in_order(
        *(orla, "1.1 · Orla Venterick", "mind power off", "DUE HERE", "sample for bacteria"),
        *("LOOK AT", "insulation fell from 200 to 20 megohm", "BRING", "the tester"),
        *("SAID TO THE CUSTOMER", "booked for 2027-03-02"),
    )
    assert in_order(camp, "TF-0055", "READINGS", "IF IT IS PULLED", "TF-0056", "READINGS")
    assert "reach not on record get in not on record" in camp
    assert misplaced(pages, MARGIN - 6) == []
    count = len(pages.texts)
    assert all(t.endswith(f"page {n} of {count}") for n, t in enumerate(pages.texts, 1))


@pytest.mark.parametrize("hostile", ["W" * 400, "<b>&\u202e\x1b[31m " * 40, "a b " * 900])
def test_a_list_of_any_text_keeps_to_its_places(well: Wells, hostile: str) -> None:
    words = ("customer", "phone", "road", "town", "access", "well_head")
    finding = replace(OWED, reason=hostile, action=hostile)
    odd = stop("TF-0051", findings=(finding,), **dict.fromkeys(words, hostile))
    assert misplaced(printed(well, odd, left_over=(odd,)), MARGIN - 6) == []


def test_a_list_of_nobody_is_a_page_that_says_so(well: Wells) -> None:
    pages = printed(well)
    assert "Nobody is to be visited by 2027-03-31." in pages.text and len(pages.texts) == 1


def test_a_thing_to_load_is_one_thing_whatever_is_said_of_it(well: Wells) -> None:
    page = Pages(hole_leaves(well("TF-0043"), SHOP)).text
    assert "in case: 580 ft of cable, gauge unknown splice kit tape" in page


def test_what_may_kill_somebody_stands_before_the_first_box_to_fill(well: Wells) -> None:
    sheet = Pages(visit_sheet(well("TF-0031"), SHOP)).texts[0]
    assert in_order(sheet, "mind power off, locked out", "overhead lines", "WRONG OR DUE")
