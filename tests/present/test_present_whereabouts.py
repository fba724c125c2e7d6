"""Where a part is that does not hang in the well, and what was told beside what is on record."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from present_holes import TODAY, component, thin, visit

from wellbook.dates import When
from wellbook.engineering.analytes import Result
from wellbook.hole.component import Absence, Claim
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Part, Pipe, Pump, Tank
from wellbook.hole.records import Sample
from wellbook.present.history import build_history
from wellbook.present.json_page import page_json
from wellbook.present.load_lines import load_lines
from wellbook.present.questions import questions
from wellbook.present.recent import last_lines
from wellbook.present.string_lines import string_lines
from wellbook.rules import catalogue
from wellbook.rules.finding import Settings
from wellbook.terms import Basis, PumpType, Reason, WellStatus

CLOSED, OPENED, SEALED = date(2025, 10, 12), date(2026, 5, 2), date(2026, 9, 1)
PUMP = Pump(hp=0.5, serial="A77", set_depth_ft=100)


def closed(**more: Any) -> Hole:
    out = {"pulled_on": When.on(CLOSED), "pulled_by": "v2"}
    parts = (component("p", PUMP, **out), component("d", Pipe(material="pvc"), **out))
    sheet = visit("v2", CLOSED, Reason.CLOSING_DOWN, opened=True)
    return thin(status=WellStatus.SEASONAL, components=parts, visits=(sheet,), **more)


def shown(hole: Hole) -> dict[str, str]:
    return {line.label: line.text for line in string_lines(hole, TODAY)}


def test_what_is_in_store_is_shown_with_all_that_is_known_of_it() -> None:
    lines = shown(closed())
    assert lines["pump"].startswith("1/2 hp")
    assert "serial A77" in lines["pump"]
    assert lines["pump"].endswith("IN STORE since 2025-10-12")
    assert lines["pipe"].endswith("IN STORE since 2025-10-12")
    assert [line.text for line in load_lines(closed(), [])] == [
        "nothing: in store since 2025-10-12"
    ]
    assert not {"pump_hp", "pump_set_depth_ft", "pipe"} & {q.key for q in questions(closed())}


def test_a_closing_that_only_says_that_the_pump_is_out() -> None:
    sheet = visit("v2", CLOSED, Reason.CLOSING_DOWN, left_without_pump=True)
    hole = thin(components=(component("p", PUMP),), visits=(sheet,))
    assert shown(hole)["pump"].endswith("IN STORE since 2025-10-12")


def test_history_tells_when_it_was_out_and_that_it_is_no_new_one() -> None:
    away = Absence(CLOSED, OPENED, "v2", "v3", "winter")
    sheets = (visit("v2", CLOSED, Reason.CLOSING_DOWN), visit("v3", OPENED, Reason.OPENING_UP))
    hole = thin(components=(component("p", PUMP, absences=(away,)),), visits=sheets)
    told = [(e.what, str(e.when), e.text) for e in build_history(hole) if e.component]
    assert told[:2] == [
        ("put back", "2026-05-02", "1/2 hp, at 100 ft; set 2019-06-03"),
        ("pulled", "2025-10-12", "1/2 hp, at 100 ft; winter"),
    ]
    assert [what for what, _, _ in told] == ["put back", "pulled", "set"]
    assert [line.text for line in last_lines(hole)][:2] == [
        "opening up by Ida and Ben; put back pump",
        "closing down by Ida and Ben; pulled pump",
    ]


def test_what_nobody_pulled_before_the_well_was_sealed() -> None:
    hole = thin(
        status=WellStatus.SEALED,
        components=(component("p", PUMP), component("c", Control())),
        visits=(visit("v9", SEALED, Reason.DECOMMISSIONING),),
    )
    lines = shown(hole)
    assert lines["pump"].endswith("; left in the hole, sealed in")
    assert lines["control"].endswith("; left when the well was sealed")
    told = {e.label: (e.what, e.day, e.text) for e in build_history(hole) if e.what == "left"}
    assert told == {
        "pump": ("left", SEALED, "in the hole, sealed in"),
        "control": ("left", SEALED, "when the well was sealed"),
    }
    assert list(questions(hole)) == []
    assert [line.text for line in load_lines(hole, [])] == [
        "nothing to pull: the well is sealed for good"
    ]


# -- what was told beside what is on record ------------------------------------------------------


def told(field: str, value: object, *, counts: bool = False, was: object = None) -> Claim:
    return Claim(field, value, Basis.CUSTOMER_TOLD, date(2026, 11, 20), counts, "c1", was)


AGE = When.parse("5 years old", said_on=date(2026, 11, 20))


def test_what_was_told_otherwise_stands_beside_the_record_until_it_is_answered() -> None:
    claims = (told("set_on", AGE), told("hp", 1.0))
    pump = component("p", PUMP, claims=claims)
    line = shown(thin(components=(pump,)))["pump"]
    assert line.startswith("1/2 hp")
    assert line.endswith("; ○ told 2026-11-20: 5 years old, 1 hp")
    shape = page_json(thin(components=(pump,)), [], TODAY)["string"][0]
    assert [(s["field"], s["basis"]) for s in shape["told_otherwise"]] == [
        ("set_on", "customer_told"),
        ("hp", "customer_told"),
    ]
    seen = Claim("set_on", pump.set_on, Basis.MEASURED, TODAY, False, "v3", pump.set_on)
    answered = thin(components=(component("p", PUMP, claims=(*claims, seen)),))
    assert "told" not in shown(answered)["pump"]
    sheet = visit("v3", TODAY, Reason.CHECK_UP)
    details = build_history(replace(answered, visits=(sheet,)))[0].details
    assert details == (("seen", "pump: the same one as before"),)


@pytest.mark.parametrize(
    ("part", "said"),
    [
        (PUMP, "set about 2015 (○ 2026-11-20)"),
        (Pipe(material="pvc"), "set about 2015 (○ 2026-11-20)"),
        (Tank(volume_gal=44), "9 to 12 years old (○ 2026-11-20)"),
    ],
)
def test_a_date_that_was_only_told_bears_its_own_mark(part: Part, said: str) -> None:
    about = When.parse("about 2015", said_on=TODAY)
    claim = told("set_on", about, counts=True, was=When.between(None, date(2019, 6, 3)))
    hole = thin(components=(component("p", part, set_on=about, claims=(claim,)),))
    (line,) = [x for x in string_lines(hole, TODAY) if x.label != "unknown"]
    assert said in line.text
    assert line.mark == "●"
    (shape,) = page_json(hole, [], TODAY)["string"]
    assert shape["set_on_basis"] == "customer_told"


def test_where_parts_are_is_told_to_other_programs() -> None:
    shape = page_json(closed(), [], TODAY)
    assert [c["kind"] for c in shape["in_store"]] == ["pipe", "pump"]
    assert (shape["string"], shape["sealed_in"]) == ([], [])
    away = Absence(CLOSED, OPENED, "v2", "v3", "winter")
    back = thin(components=(component("p", PUMP, absences=(away,)),))
    (pump,) = page_json(back, [], TODAY)["string"]
    gone = {"out_on": "2025-10-12", "back_on": "2026-05-02", "why": "winter", "cause": None}
    assert pump["absences"] == [gone]
    sealed = replace(back, status=WellStatus.SEALED)
    assert [c["uid"] for c in page_json(sealed, [], TODAY)["sealed_in"]] == ["p"]


def test_a_sample_bears_its_basis() -> None:
    sample = Sample(
        "s", When.on(CLOSED), None, "", "", None, Basis.CUSTOMER_TOLD, {"nitrate_mg_l": Result(2.0)}
    )
    (shape,) = page_json(thin(samples=(sample,)), [], TODAY)["samples"]
    assert shape["basis"] == "customer_told"


def test_a_closing_of_two_visits_and_work_in_the_winter_leave_the_pump_in_store() -> None:
    hole = closed()
    again = visit("v3", date(2025, 10, 14), Reason.CLOSING_DOWN, left_without_pump=True)
    worked = visit("v4", date(2026, 1, 9), Reason.HYDROFRACTURING, opened=True)
    for sheets in ((again,), (worked,), (again, worked)):
        later = replace(hole, visits=(*hole.visits, *sheets))
        assert shown(later)["pump"].endswith("IN STORE since 2025-10-12")
        # What lies in the barn is judged as it will hang again.
        old = [f for f in catalogue.judge(later, Settings()) if f.rule == "pump-age"]
        assert [f.counts_from for f in old] == ["p", "p"]
    new = component("n", PUMP, set_on=When.on(date(2026, 1, 9)), set_by="v4")
    given = replace(hole, visits=(*hole.visits, worked), components=(*hole.components, new))
    assert given.closed_without_pump is None


@pytest.mark.parametrize(
    ("type_", "missing"),
    [
        (PumpType.SUBMERSIBLE, "seal, pipe, cable, tank and switch: nothing on record"),
        (PumpType.SHALLOW_JET, "seal, pipe, tank and switch: nothing on record"),
        (PumpType.LINESHAFT, "seal, pipe, tank and switch: nothing on record"),
        (PumpType.HAND, "seal and pipe: nothing on record"),
    ],
)
def test_only_what_hangs_with_its_kind_of_pump_is_missed(type_: PumpType, missing: str) -> None:
    hole = thin(components=(component("p", Pump(type=type_)),))
    assert shown(hole)["unknown"] == missing
