"""What sheets come to when they are replayed: told dates, runs of several sections, motors.

The components and sheets are invented; they are held against the rules of the issue.
"""

from __future__ import annotations

import itertools
import tomllib
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wellbook.dates import When
from wellbook.errors import ReplayError
from wellbook.hole.component import Component
from wellbook.hole.parts import Cable, Pump
from wellbook.hole.replay import NOT_PUT_BACK, replay
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.hole.story import Recorded, Story
from wellbook.terms import Basis, Kind, SheetKind

TODAY = date(2026, 11, 25)


def sheet(
    uid: str, data: str | dict[str, Any], kind: SheetKind = SheetKind.VISIT, entered: int = 0
) -> Recorded:
    tables = tomllib.loads(data) if isinstance(data, str) else data
    return Recorded(uid, "w", read_sheet(tables, today=TODAY, kind=kind), entered)


def call(uid: str, data: str | dict[str, Any]) -> Recorded:
    return sheet(uid, data, SheetKind.CALL)


def of(story: Story, kind: Kind) -> list[Component]:
    return [c for c in story.components if c.kind is kind]


def down(story: Story, kind: Kind) -> list[Any]:
    return [c.part for c in of(story, kind) if c.pulled_on is None]


def stretches(story: Story, kind: Kind = Kind.PIPE) -> list[tuple[float, float]]:
    return sorted((p.from_ft or 0, p.to_ft) for p in down(story, kind))


# -- what was only told --------------------------------------------------------------------------

PUMP = """
date = 2015-05-05
reason = "replacement"
[set.pump]
hp = 1
rated_gpm = 10
set_depth_ft = 320
serial = "S1"
"""


@pytest.mark.parametrize(
    ("said", "changed"),
    [("5 years old", True), ("about 2018", True), ("about 2015", False), ("2011", False)],
)
def test_a_told_date_stands_beside_a_pump_that_was_seen_going_in(said: str, changed: bool) -> None:
    told = {"date": "2026-11-25", "down": {"pump": {"set_on": said}}}
    (pump,) = of(replay([sheet("set", PUMP), call("call", told)]), Kind.PUMP)
    assert pump.pulled_on is None
    assert pump.set_on.earliest == date(2015, 5, 5)
    assert (pump.part.hp, pump.part.serial) == (1, "S1")  # type: ignore[attr-defined]
    assert (pump.said_changed is not None) is changed
    if changed:
        assert pump.said_changed is not None
        assert said in str(pump.said_changed.value)
        assert pump.said_changed.basis is Basis.CUSTOMER_TOLD


NOTED_2010 = "date = 2010-01-01\n[down.pump]\nhp = 1\n"


@pytest.mark.parametrize(
    ("said", "bounds"),
    [
        ("about 2005", (date(2004, 1, 1), date(2006, 12, 31))),
        # It was there on the day it was noted: the words are kept, the later days are not.
        ("about 2010", (date(2009, 1, 1), date(2010, 1, 1))),
        ("about 2015", (None, date(2010, 1, 1))),
        ("unknown", (None, date(2010, 1, 1))),
    ],
)
def test_a_told_date_fills_what_is_open_and_never_comes_after_the_part_was_noted(
    said: str, bounds: tuple[date | None, date | None]
) -> None:
    told = {"date": "2020-06-01", "down": {"pump": {"set_on": said}}}
    opening = sheet("o", NOTED_2010, SheetKind.OPENING)
    (pump,) = of(replay([opening, call("c", told)]), Kind.PUMP)
    assert (pump.set_on.earliest, pump.set_on.latest) == bounds
    assert (pump.said_changed is not None) is (said == "about 2015")
    assert pump.basis is Basis.PAPER_RECORD
    filled = bounds[0] is not None
    assert (pump.setting.basis is Basis.CUSTOMER_TOLD) is filled


def test_who_saw_the_pump_again_has_answered() -> None:
    told = call("c", "date = 2020-06-01\n[down.pump]\nset_on = 'about 2018'")
    seen = 'date = 2021-01-01\nreason = "check up"\n[down.pump]\nset_depth_ft = 320'
    back = 'date = 2021-01-01\nreason = "pull and inspect"\n[back.pump]'
    (pump,) = of(replay([sheet("s", PUMP), told]), Kind.PUMP)
    assert pump.said_changed is not None
    for text in (seen, back):
        (pump,) = of(replay([sheet("s", PUMP), told, sheet("v", text)]), Kind.PUMP)
        assert pump.said_changed is None
        assert pump.setting.basis is Basis.MEASURED


def test_who_read_the_tag_of_a_later_pump_knows_that_it_is_another() -> None:
    seen = 'date = 2020-06-01\nreason = "check up"\n[down.pump]\nhp = 2\nset_on = "2018"'
    opening = sheet("o", NOTED_2010, SheetKind.OPENING)
    old, new = of(replay([opening, sheet("v", seen)]), Kind.PUMP)
    assert (old.why_pulled, str(old.pulled_on)) == ("replaced", "2018")
    assert new.part.hp == 2  # type: ignore[attr-defined]


FIELDS: dict[str, dict[str, st.SearchStrategy[Any]]] = {
    "pump": {
        "hp": st.sampled_from([0.5, 1, 2]),
        "serial": st.sampled_from(["S1", "S2"]),
        "set_depth_ft": st.integers(50, 500),
        "model_year": st.sampled_from(["2003", "about 2006"]),
    },
    "pipe": {"material": st.sampled_from(["pvc", "galvanized"]), "to_ft": st.integers(50, 500)},
    "cable": {"awg": st.sampled_from([8, 10, 12]), "to_ft": st.integers(50, 500)},
    "tank": {"volume_gal": st.sampled_from([20, 44])},
    "switch": {"cut_out_psi": st.integers(40, 80)},
}
OLDER = st.sampled_from(["5 years old", "about 2004", "before 2010", "unknown"])
DATES = st.sampled_from(
    ["5 years old", "about 2018", "2004", "before 2010", "unknown", "2012/2016"]
)


@st.composite
def parts(draw: Any, section: str, dates: st.SearchStrategy[str] = DATES) -> dict[str, Any]:
    kinds = draw(st.lists(st.sampled_from(sorted(FIELDS)), min_size=1, unique=True))
    return {section: {k: _row(draw, k, dates if section == "down" else None) for k in kinds}}


def _row(draw: Any, kind: str, dates: st.SearchStrategy[str] | None) -> dict[str, Any]:
    names = draw(st.lists(st.sampled_from(sorted(FIELDS[kind])), unique=True))
    row = {name: draw(FIELDS[kind][name]) for name in names}
    if dates is not None and draw(st.booleans()):
        row["set_on"] = draw(dates)
    return row


@st.composite
def visits(draw: Any) -> list[dict[str, Any]]:
    days = sorted(draw(st.lists(st.integers(0, 5000), min_size=1, max_size=3, unique=True)))
    return [
        {
            "date": (date(2010, 1, 1) + timedelta(days=n)).isoformat(),
            "reason": "other",
            "basis": draw(st.sampled_from(["measured", "nameplate", "paper record"])),
            **draw(parts(draw(st.sampled_from(["set", "down"])), OLDER)),
        }
        for n in days
    ]


@given(visits(), parts("down"), st.booleans())
@settings(max_examples=120)
def test_what_is_told_ends_nothing_and_changes_nothing_that_somebody_saw(
    before: list[dict[str, Any]], told: dict[str, Any], by_phone: bool
) -> None:
    sheets = [sheet(f"v{n}", data) for n, data in enumerate(before)]
    if by_phone:
        last = call("c", {"date": "2026-11-24", **told})
    else:
        guess = {"date": "2026-11-24", "reason": "check up", "basis": "estimated"}
        last = sheet("c", {**guess, **told})
    try:
        old = {c.uid: c for c in replay(sheets).components}
    except ReplayError:
        return
    new = {c.uid: c for c in replay([*sheets, last]).components}
    for uid, was in old.items():
        now = new[uid]
        assert now.pulled_on == was.pulled_on
        assert now.set_on.within(was.set_on)
        if was.set_on.earliest is not None:
            assert now.set_on == was.set_on
        for name in FIELDS[was.kind.value]:
            fact = was.fact(name)
            if fact is not None:
                assert now.fact(name) == fact


# -- a run of several sections -------------------------------------------------------------------

RUN = """
date = 2010-05-05
reason = "new well"
[[set.pipe]]
material = "pvc"
to_ft = 100
[[set.pipe]]
material = "galvanized"
from_ft = 100
to_ft = 200
[[set.pipe]]
material = "pvc"
from_ft = 200
to_ft = 300
[[set.pipe]]
material = "pvc"
from_ft = 300
to_ft = 500
[[set.cable]]
awg = 10
to_ft = 450
[[set.cable]]
awg = 10
from_ft = 450
to_ft = 500
"""
FOUR = [(0, 100), (100, 200), (200, 300), (300, 500)]


def after(text: str, reason: str = "pull and inspect") -> Story:
    return replay([sheet("s", RUN), sheet("v", f'date = 2020-05-05\nreason = "{reason}"\n{text}')])


def test_a_run_that_goes_back_shorter_ends_there_and_is_what_it_was_above() -> None:
    story = after(
        "[back.pipe]\nto_ft = 400\n[back.cable]\nto_ft = 400\n[back.pump]\nset_depth_ft = 400"
    )
    assert stretches(story) == [(0, 100), (100, 200), (200, 300), (300, 400)]
    assert stretches(story, Kind.CABLE) == [(0, 400)]
    assert [p.material for p in down(story, Kind.PIPE)].count("galvanized_steel") == 1
    (cut,) = [c for c in of(story, Kind.CABLE) if c.pulled_on is not None]
    assert (cut.part.from_ft, cut.why_pulled) == (450, NOT_PUT_BACK)  # type: ignore[attr-defined]
    story = after("[back.pipe]\nto_ft = 150")
    assert stretches(story) == [(0, 100), (100, 150)]
    assert stretches(after("[back.pipe]")) == FOUR


def test_a_run_that_goes_back_longer_asks_which_section_is_where_they_differ() -> None:
    with pytest.raises(ReplayError, match=r"100 ft deeper.*from_ft.*\[set\.pipe\]"):
        after("[back.pipe]\nto_ft = 600")
    longer = after("[back.pipe]\nfrom_ft = 300\nto_ft = 600\n[back.cable]\nto_ft = 600")
    assert stretches(longer)[-1] == (300, 600)
    assert stretches(longer, Kind.CABLE) == [(0, 450), (450, 600)]


def test_a_section_that_is_named_speaks_of_itself() -> None:
    story = after('[back.pipe]\nfrom_ft = 100\nto_ft = 200\njoint_ft = 21\nnote = "turned"')
    assert stretches(story) == FOUR
    assert [p.joint_ft for p in down(story, Kind.PIPE)] == [None, 21, None, None]
    story = after('[back.pipe]\nmaterial = "galvanized"\njoint_ft = 21')
    assert sorted(p.material for p in down(story, Kind.PIPE)) == ["galvanized_steel"] + ["pvc"] * 3
    assert [p.joint_ft for p in down(story, Kind.PIPE)] == [None, 21, None, None]
    story = after('[pulled.pipe]\nmaterial = "galvanized"\nwhy = "rust"')
    assert stretches(story) == [FOUR[0], *FOUR[2:]]


def test_all_sections_listed_are_each_their_own() -> None:
    rows = "".join(
        f"[[back.pipe]]\n{f'from_ft = {top}' if top else ''}\nto_ft = {bottom}\njoint_ft = {n}\n"
        for n, (top, bottom) in enumerate([(0, 110), (110, 200), (200, 300), (300, 490)], start=20)
    )
    story = after(rows)
    assert stretches(story) == [(0, 110), (110, 200), (200, 300), (300, 490)]
    assert [p.joint_ft for p in down(story, Kind.PIPE)] == [20, 21, 22, 23]


def test_what_is_seen_of_the_pipe_says_where_its_lowest_section_ends() -> None:
    seen = "date = 2020-05-05\nreason = 'check up'\n[down.pipe]\nto_ft = 480\nnominal_in = '1-1/4'"
    story = replay([sheet("s", RUN), sheet("v", seen)])
    assert stretches(story) == [*FOUR[:3], (300, 480)]
    assert {p.nominal_in for p in down(story, Kind.PIPE)} == {"1-1/4"}
    with pytest.raises(ReplayError, match="a section of it begins at 300 ft"):
        replay([sheet("s", RUN), sheet("v", seen.replace("480", "250"))])


def test_what_is_told_of_the_end_of_a_pipe_changes_no_section() -> None:
    told = "date = 2020-05-05\n[down.pipe]\nto_ft = 250"
    story = replay([sheet("s", RUN), call("c", told)])
    assert stretches(story) == FOUR
    (said,) = [c.told_otherwise("to_ft") for c in of(story, Kind.PIPE) if c.claims]
    assert said is not None
    assert said.value == 250


def test_two_sections_in_one_stretch_are_refused() -> None:
    with pytest.raises(ReplayError, match="two sections of pipe in one stretch"):
        after("[back.pipe]\nfrom_ft = 100\nto_ft = 250")
    with pytest.raises(ReplayError, match="from_ft"):
        after("[[set.pipe]]\nto_ft = 300\n[[set.pipe]]\nto_ft = 500", "replacement")


def test_a_section_that_was_cut_off_comes_back_only_by_its_name() -> None:
    cut = 'date = 2020-05-05\nreason = "other"\n[back.pipe]\nto_ft = 300'
    out = 'date = 2021-10-05\nreason = "closing down"\n[pulled.pipe]'
    back = 'date = 2022-05-05\nreason = "opening up"\n[back.pipe]'
    sheets = [sheet("s", RUN), sheet("a", cut), sheet("b", out)]
    assert stretches(replay([*sheets, sheet("c", back)])) == FOUR[:3]
    named = sheet("d", back.replace("2022", "2023") + "\nfrom_ft = 300\nto_ft = 500")
    assert stretches(replay([*sheets, sheet("c", back), named])) == FOUR


@given(
    st.lists(st.integers(1, 30).map(lambda n: n * 20), min_size=2, max_size=5, unique=True),
    st.booleans(),
    st.lists(st.integers(20, 700), min_size=1, max_size=3),
)
@settings(max_examples=120)
def test_sections_of_a_run_never_overlap_nor_hang_below_its_end(
    joins: list[int], alike: bool, ends: list[int]
) -> None:
    bottoms = sorted(joins)
    rows = [
        {"from_ft": top, "to_ft": bottom, "material": "pvc" if alike or n % 2 else "galvanized"}
        for n, (top, bottom) in enumerate(zip([0, *bottoms], bottoms, strict=False))
    ]
    sheets = [sheet("s", {"date": "2010-05-05", "reason": "new well", "set": {"pipe": rows}})]
    for n, end in enumerate(ends):
        day = date(2012, 1, 1) + timedelta(days=n)
        data = {"date": day.isoformat(), "reason": "other", "back": {"pipe": {"to_ft": end}}}
        before = stretches(replay(sheets))
        try:
            story = replay([*sheets, sheet(f"v{n}", data)])
        except ReplayError:
            assert end > before[-1][1]  # type: ignore[operator]
            assert not alike
            continue
        sheets.append(sheet(f"v{n}", data))
        now = stretches(story)
        assert now[-1][1] == end
        assert now[:-1] == before[: len(now) - 1]
        assert all(one[1] == two[0] for one, two in itertools.pairwise(now))


# -- the motor goes with its pump, and the pump with the visit that left the well without it ------

MOTORED = PUMP + "type = 'submersible'\n[set.motor]\nhp = 1\n"
BURNT = 'date = 2020-05-05\nreason = "no water"\n[pulled.pump]\nwhy = "burnt out"\ncause = "age"\n'


def motors(*texts: str) -> list[float | None]:
    return [
        m.hp for m in down(replay([sheet(f"v{n}", t) for n, t in enumerate(texts)]), Kind.MOTOR)
    ]


def test_a_submersibles_motor_comes_and_goes_with_it() -> None:
    new = "[set.pump]\nhp = 2\n"
    assert motors(MOTORED, BURNT + new) == []
    assert motors(MOTORED, BURNT.split("[pulled", maxsplit=1)[0] + new) == []
    assert motors(MOTORED, BURNT + new + "[set.motor]\nhp = 2") == [2]
    assert motors(MOTORED, BURNT + new + "[back.motor]") == [1]
    assert motors(MOTORED, BURNT.split("[pulled", maxsplit=1)[0] + "[set.motor]\nhp = 1.5") == [1.5]
    assert motors(MOTORED.replace("submersible", "lineshaft"), BURNT + new) == [1]
    back = 'date = 2020-05-12\nreason = "replacement"\n[back.pump]\n'
    assert motors(MOTORED, BURNT, back) == [1]
    assert motors(MOTORED, BURNT + "[back.pump]\n") == [1]
    wound = "[set.motor]\nhp = 2"
    assert motors(MOTORED, BURNT, back + wound) == [2]
    seen = 'date = 2021-05-12\nreason = "check up"\n[down.motor]\nhp = 2'
    assert motors(MOTORED, BURNT + new, seen) == [2]


def test_a_motor_that_came_out_with_its_pump_tells_why() -> None:
    story = replay([sheet("s", MOTORED), sheet("v", BURNT)])
    pump, motor = of(story, Kind.PUMP)[0], of(story, Kind.MOTOR)[0]
    assert (motor.why_pulled, motor.cause, motor.pulled_on) == (
        pump.why_pulled,
        pump.cause,
        pump.pulled_on,
    )


def test_a_visit_that_left_the_well_without_its_pump_took_it() -> None:
    left = 'date = 2020-05-05\nreason = "no water"\nleft_without_pump = true\n'
    back = 'date = 2020-05-12\nreason = "replacement"\n[back.pump]\nset_depth_ft = 310'
    (pump,) = of(replay([sheet("s", PUMP), sheet("v", left)]), Kind.PUMP)
    assert str(pump.pulled_on.edtf() if pump.pulled_on else "") == "2020-05-05"
    (pump,) = of(replay([sheet("s", PUMP), sheet("v", left), sheet("b", back)]), Kind.PUMP)
    assert pump.pulled_on is None
    assert pump.part.set_depth_ft == 310  # type: ignore[attr-defined]
    # Nothing is there to be taken: it was out before, or nobody wrote it down.
    again = left.replace("05-05", "05-06")
    assert replay([sheet("v", left), sheet("w", again)]).components == []
    assert len(replay([sheet("s", PUMP), sheet("v", left), sheet("w", again)]).components) == 1
    # What a later sheet says outright counts more than what was concluded.
    out = 'date = 2020-05-07\nreason = "other"\n[pulled.pump]\nwhy = "worn"\n[set.pump]\nhp = 2'
    old, _ = of(replay([sheet("s", PUMP), sheet("v", left), sheet("w", out)]), Kind.PUMP)
    assert (str(old.pulled_on.edtf() if old.pulled_on else ""), old.absences) == ("2020-05-07", ())
    down = 'date = 2020-05-07\nreason = "check up"\n[down.pump]\nhp = 1'
    (pump,) = of(replay([sheet("s", PUMP), sheet("v", left), sheet("w", down)]), Kind.PUMP)
    assert (pump.pulled_on, len(pump.absences)) == (None, 1)
    told = call("c", "date = 2020-05-05\nleft_without_pump = true")
    assert of(replay([sheet("s", PUMP), told]), Kind.PUMP)[0].pulled_on is None


def test_a_caller_may_tell_of_a_pump_that_somebody_else_put_in() -> None:
    left = 'date = 2020-05-05\nreason = "no water"\n[pulled.pump]\nwhy = "burnt out"\n'
    told = call("c", "date = 2021-03-01\n[down.pump]\nhp = 0.5")
    _, theirs = of(replay([sheet("s", PUMP), sheet("v", left), told]), Kind.PUMP)
    assert (theirs.part.hp, theirs.basis) == (0.5, Basis.CUSTOMER_TOLD)  # type: ignore[attr-defined]
    assert theirs.set_on.edtf() == "../2021-03-01"


# -- the name of a part ------------------------------------------------------------------------


@pytest.mark.parametrize("section", ["set", "back", "down"])
def test_a_slip_of_older_days_gives_a_part_no_other_name(section: str) -> None:
    opening = sheet(
        "o",
        "date = 2020-01-01\n[down.pump]\nhp = 1\n[down.cable]\nawg = 12",
        SheetKind.OPENING,
        entered=1,
    )
    slip = f'date = 2015-01-01\nreason = "other"\n[{section}.pump]\nhp = 1\n[{section}.cable]\nawg = 12'
    older = sheet("s", slip + "\n[[found]]\nwhat = 'splice'\ncount = 2", entered=2)
    before = {c.uid for c in replay([opening]).components}
    story = replay([opening, older])
    assert {c.uid for c in story.components} == before
    ((_, counted),) = story.inspections
    assert counted.component_uid in before


def test_a_pump_that_was_pulled_outright_is_not_brought_back_by_a_word() -> None:
    closed = 'date = 2018-10-01\nreason = "closing down"\nleft_without_pump = true'
    pulled = 'date = 2018-11-01\nreason = "check up"\n[pulled.pump]\nwhy = "worn"'
    told = call("c", "date = 2019-01-01\n[down.pump]\nhp = 1")
    sheets = [sheet("s", PUMP), sheet("l", closed)]
    (pump,) = of(replay([*sheets, told]), Kind.PUMP)
    assert pump.pulled_on is None
    old, theirs = of(replay([*sheets, sheet("p", pulled), told]), Kind.PUMP)
    assert old.pulled_on is not None
    assert (theirs.pulled_on, theirs.basis) == (None, Basis.CUSTOMER_TOLD)


# -- paper ------------------------------------------------------------------------------------------

PAPER = """
date = 2026-11-25
{as_of}
[down.pump]
hp = 1
set_depth_ft = 200
serial = "OLD1"
maker = "Quillmoor"
[down.cable]
made = "2001"
"""
REPLACED = """
date = 2018-06-03
reason = "replacement"
[pulled.pump]
[pulled.cable]
[set.pump]
hp = 2
set_depth_ft = 300
[set.cable]
awg = 10
to_ft = 300
"""


def paper(as_of: str, more: str = "") -> Recorded:
    text = PAPER.format(as_of=f'as_of = "{as_of}"' if as_of else "") + more
    return sheet("o", text, SheetKind.OPENING, 1)


@pytest.mark.parametrize("as_of", ["2001-06-01", "about 2001", "unknown", "before 2018", "2018"])
def test_what_paper_knew_is_ended_by_what_was_set_since(as_of: str) -> None:
    story = replay([paper(as_of), sheet("s", REPLACED, entered=2)])
    old, new = of(story, Kind.PUMP)
    assert isinstance(old.part, Pump)
    assert isinstance(new.part, Pump)
    assert (old.part.serial, old.part.set_depth_ft) == ("OLD1", 200)
    assert (new.part.serial, new.part.maker, new.part.hp) == (None, None, 2)
    assert old.pulled_on == When.between(date(2018, 6, 3), date(2018, 6, 3))
    assert new.pulled_on is None
    assert old.set_on.latest is not None
    assert old.set_on.latest <= date(2018, 6, 3)
    assert [c.part.made for c in of(story, Kind.CABLE) if isinstance(c.part, Cable)][1] is None


@pytest.mark.parametrize(
    ("as_of", "by"),
    [("2001-06-01", date(2001, 6, 1)), ("2001", date(2001, 12, 31)), ("unknown", TODAY)],
)
def test_what_stands_on_paper_was_there_by_the_day_of_the_paper(as_of: str, by: date) -> None:
    told = '[measured]\nyield_gpm = 8\n[[bore]]\nkind = "casing"\nto_ft = 40'
    story = replay([paper(as_of, told)])
    (pump,) = of(story, Kind.PUMP)
    assert (pump.set_on.earliest, pump.set_on.latest, pump.noted_on) == (None, by, by)
    assert pump.as_of.latest == by
    assert story.observations[0][1].when.latest == by
    assert story.intervals[0][1].when.latest == by


def test_paper_without_a_date_is_older_than_the_visit_that_saw_the_part() -> None:
    seen = sheet("v", 'date = 2018-06-03\nreason = "check up"\n[down.pump]\nhp = 1')
    (pump,) = of(replay([paper("unknown"), seen]), Kind.PUMP)
    assert (pump.set_on.latest, pump.noted_on) == (date(2018, 6, 3), date(2018, 6, 3))
    # Set later than that, it is another one.
    later = 'date = 2024-01-01\nreason = "check up"\n[down.pump]\nset_on = "2020"'
    assert len(of(replay([paper("unknown"), seen, sheet("w", later)]), Kind.PUMP)) == 2


@pytest.mark.parametrize("said", ["left_without_pump = true", "[pulled.pump]"])
def test_what_paper_knew_came_out_before_it_was_entered(said: str) -> None:
    out = sheet("v", f'date = 2026-11-20\nreason = "no water"\n{said}', entered=2)
    (pump,) = of(replay([paper("unknown"), out]), Kind.PUMP)
    assert pump.pulled_on == When.between(date(2026, 11, 20), date(2026, 11, 20))


def test_a_told_date_after_the_paper_is_asked_about() -> None:
    told = call("c", 'date = 2026-11-25\n[down.pump]\nset_on = "about 2015"')
    (pump,) = of(replay([paper("2010-01-01"), told]), Kind.PUMP)
    assert pump.set_on.latest == date(2010, 1, 1)
    assert pump.said_changed is not None


@pytest.mark.parametrize(
    ("text", "kind", "what"),
    [
        ('as_of = "2027"', SheetKind.OPENING, "lies after 2026-11-25"),
        ('as_of = "soon"', SheetKind.OPENING, "cannot read the date"),
        ('reason = "other"\nas_of = "2001"', SheetKind.VISIT, "only what is copied from paper"),
        (
            'as_of = "2001"\n[down.pump]\nset_on = "2005"',
            SheetKind.OPENING,
            "lies after 2001-12-31, the date of this paper",
        ),
    ],
)
def test_a_date_of_paper_that_cannot_be_is_refused(text: str, kind: SheetKind, what: str) -> None:
    with pytest.raises(SheetError, match=what):
        sheet("o", f"date = 2026-11-25\n{text}", kind)


# -- when it was set ----------------------------------------------------------------------------------


@pytest.mark.parametrize("where", ["down", "back"])
def test_a_part_that_was_seen_was_set_by_then_whatever_the_words(where: str) -> None:
    text = f'date = 2005-11-01\nreason = "other"\n[{where}.pump]\nhp = 1\nset_on = "unknown"'
    (pump,) = of(replay([sheet("s", text)]), Kind.PUMP)
    assert (pump.set_on.earliest, pump.set_on.latest) == (None, date(2005, 11, 1))
    assert pump.set_on.text == "unknown"
    assert str(pump.set_on) == "unknown, by 2005-11-01"


def test_a_part_that_was_set_at_a_visit_was_set_then_whatever_the_words() -> None:
    text = 'date = 2005-11-01\nreason = "other"\n[set.pump]\nset_on = "unknown"'
    (pump,) = of(replay([sheet("s", text)]), Kind.PUMP)
    assert pump.set_on.exact


@pytest.mark.parametrize("year", ["2021", "2022 model"])
def test_a_model_year_after_the_setting_is_taken(year: str) -> None:
    text = f'date = 2020-12-20\nreason = "other"\n[set.pump]\nmodel_year = "{year}"'
    (pump,) = of(replay([sheet("s", text)]), Kind.PUMP)
    assert isinstance(pump.part, Pump)
    assert str(pump.part.model_year) == year


def test_a_model_year_that_lies_ahead_is_refused() -> None:
    text = 'date = 2020-12-20\nreason = "other"\n[set.pump]\nmodel_year = "2027"'
    with pytest.raises(SheetError, match="'2027' lies after 2026-11-25, today"):
        sheet("s", text)


# -- one of several sections --------------------------------------------------------------------------

TWO = """
date = 2015-05-05
reason = "replacement"
[[set.pipe]]
from_ft = 0
to_ft = 300
[[set.pipe]]
from_ft = 300
to_ft = 320
"""


@pytest.mark.parametrize(("from_ft", "stays"), [(0, [(300, 320)]), (300, [(0, 300)])])
def test_a_section_that_came_out_is_named_by_where_it_begins(
    from_ft: int, stays: list[tuple[float, float]]
) -> None:
    out = f'date = 2020-05-05\nreason = "other"\n[pulled.pipe]\nfrom_ft = {from_ft}'
    assert stretches(replay([sheet("s", TWO), sheet("p", out)])) == stays


def test_what_came_out_from_the_middle_of_a_section_is_all_below() -> None:
    out = 'date = 2020-05-05\nreason = "other"\n[pulled.pipe]\nfrom_ft = 100'
    assert stretches(replay([sheet("s", TWO), sheet("p", out)])) == [(0, 100)]
