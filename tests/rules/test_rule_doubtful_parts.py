"""What was told of a part as if it were another is asked once, until somebody has seen the part.

The sheets are invented, and replayed as a book replays them.
"""

from datetime import date
from typing import Any

import pytest
from rule_holes import hole, judged, the_one

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.replay import replay
from wellbook.hole.sheet import read_sheet
from wellbook.hole.story import Recorded
from wellbook.rules.doubtful_record import RULE
from wellbook.terms import Kind, Occasion, Severity, SheetKind

TODAY, TOLD = date(2026, 11, 25), date(2026, 11, 20)
SET = {
    "date": "2015-05-05",
    "reason": "replacement",
    "set": {"pump": {"hp": 0.5, "type": "submersible", "set_depth_ft": 320, "serial": "S1"}},
}


def call(**pump: Any) -> tuple[SheetKind, dict[str, Any]]:
    return SheetKind.CALL, {"date": TOLD.isoformat(), "down": {"pump": pump}}


def visit(day: str, **more: Any) -> tuple[SheetKind, dict[str, Any]]:
    return SheetKind.VISIT, {"date": day, "reason": "check up", **more}


def after(*sheets: tuple[SheetKind, dict[str, Any]]) -> Hole:
    rows = [(SheetKind.VISIT, SET), *sheets]
    story = replay(
        Recorded(f"s{n}", "w", read_sheet(data, today=TODAY, kind=kind), n)
        for n, (kind, data) in enumerate(rows)
    )
    return hole(components=story.components)


def pump_of(well: Hole) -> Component:
    return well.down(Kind.PUMP)[0]


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        (
            {"set_on": "5 years old"},
            "pump told 2026-11-20: 5 years old; on record: set 2015-05-05",
        ),
        (
            {"set_on": "about 2018"},
            "pump told 2026-11-20: set about 2018; on record: set 2015-05-05",
        ),
        ({"hp": 1}, "pump told 2026-11-20: 1 hp; on record: 1/2 hp"),
        (
            {"set_on": "5 years old", "hp": 1, "serial": "S2"},
            "pump told 2026-11-20: 5 years old, 1 hp, serial S2;"
            " on record: set 2015-05-05, 1/2 hp, serial S1",
        ),
    ],
)
def test_what_was_told_of_it_as_of_another_pump_is_asked_once(told, reason):
    well = after(call(**told))
    found = the_one(RULE, well)
    assert found.reason == reason
    assert found.action.startswith("ask whether the pump was changed since 2015-05-05 (told 2026-")
    assert (found.severity, found.occasion) == (Severity.ASK, Occasion.NEXT_VISIT)
    assert (found.may_from, found.surely_from) == (TOLD, TOLD)
    assert found.counts_from == pump_of(well).uid


@pytest.mark.parametrize(
    "told",
    [
        {"set_on": "11 years old"},
        {"set_on": "about 2015"},
        {"set_on": "2011"},
        {"hp": 0.5, "serial": "s1", "type": "Submersible"},
        # It may be said in other words, or hang elsewhere than was counted: no other pump yet.
        {"set_depth_ft": 300},
        {"maker": "some brand", "model": "the big one"},
    ],
)
def test_what_may_be_said_of_the_same_pump_is_not_asked(told):
    assert judged(RULE, after(call(**told))) == []


@pytest.mark.parametrize(
    "seen",
    [
        visit("2026-11-22", down={"pump": {}}),
        visit("2026-11-22", down={"pump": {"hp": 0.5}}),
        visit("2026-11-22", reason="pull and inspect", back={"pump": {}}),
        visit("2026-11-22", down={"pump": {"hp": 1}}),
        visit("2026-11-22", reason="replacement", set={"pump": {"hp": 1}}),
        visit("2026-11-22", reason="no water", left_without_pump=True),
    ],
    ids=["seen", "read", "put back", "read to be so", "replaced", "pulled"],
)
@pytest.mark.parametrize("told", [{"hp": 1}, {"set_on": "5 years old"}, {"hp": 1, "serial": "S2"}])
def test_who_saw_the_pump_since_has_answered(told, seen):
    assert [f.subject for f in judged(RULE, after(call(**told)))] == ["pump told otherwise"]
    assert judged(RULE, after(call(**told), seen)) == []


def test_who_was_there_without_seeing_the_pump_has_not_answered():
    look = visit("2026-11-22", measured={"flow_gpm": 6})
    assert judged(RULE, after(call(hp=1), look)) != []
    assert judged(RULE, after(call(hp=1), call(set_depth_ft=300))) != []
