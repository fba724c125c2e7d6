"""Where a part is that does not hang in the well: in store, put back since, or sealed in."""

from __future__ import annotations

from datetime import date
from typing import Any

from present_holes import TODAY, component, thin, visit

from wellbook.dates import When
from wellbook.hole.component import Absence
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Pipe, Pump
from wellbook.present.history import build_history
from wellbook.present.load_lines import load_lines
from wellbook.present.questions import questions
from wellbook.present.recent import last_lines
from wellbook.present.string_lines import string_lines
from wellbook.terms import Reason, WellStatus

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
    assert [line.text for line in load_lines(closed())] == ["nothing: in store since 2025-10-12"]
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
        ("put back", "2026-05-02", "set 2019-06-03"),
        ("pulled", "2025-10-12", "winter"),
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
    assert [line.text for line in load_lines(hole)] == [
        "nothing to pull: the well is sealed for good"
    ]
