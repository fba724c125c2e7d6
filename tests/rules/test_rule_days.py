"""A list of what was due by a past day says no more than the hole shows as of that day.

The ledger judges the record as it is now and says since when it holds; `--on` judges the record as
it was. Whatever surely held on a day by the one must hold by the other, and what may have held too.
The records are made by replaying sheets, as a book makes them.
"""

from datetime import date, timedelta
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rule_holes import hole

from wellbook.errors import ReplayError
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.hole.replay import Recorded, replay
from wellbook.hole.sheet import read_sheet
from wellbook.rules import cable_wear, pipe_rating, pump_age, string_fittings, unfinished
from wellbook.rules.finding import Settings
from wellbook.terms import Kind, SheetKind

TODAY = date(2026, 11, 25)
FIRST = date(2000, 1, 1)
RULES = (pipe_rating, string_fittings, cable_wear, pump_age, unfinished)

DAYS = st.integers(0, 9800).map(lambda n: FIRST + timedelta(days=n))
FEET = st.sampled_from([200, 250, 300, 370, 450])
SPLICES = st.fixed_dictionaries({"what": st.just("splice"), "count": st.integers(0, 6)})
OTHER_REASONS = st.sampled_from(["check up", "water sample", "no water", "replacement"])


def parts(feet: int, **more: Any) -> dict[str, Any]:
    return {
        "pump": {"set_depth_ft": feet, "hp": 1},
        "pipe": {"to_ft": feet, "rating_psi": 160},
        "cable": {"to_ft": feet},
        **more,
    }


WORK = st.one_of(
    FEET.map(lambda feet: {"set": parts(feet)}),
    FEET.map(lambda feet: {"back": parts(feet)}),
    FEET.map(lambda feet: {"set": {"pump": {"set_depth_ft": feet}}}),
    st.sampled_from([40, 50, 60]).map(lambda psi: {"set": {"switch": {"cut_out_psi": psi}}}),
    st.just({"set": {"seal": {"type": "pitless adapter", "material": "plastic"}}}),
    st.just({"set": {"check_valve": {"depth_ft": 150}}}),
    st.just({"pulled": {"check_valve": {"why": "leaks"}}}),
    st.just({"left_without_pump": True, "pulled": {"pump": {"why": "worn"}}}),
    st.just({"left_without_pump": True}),
    st.just({"back": {"pipe": {}}}),
    st.sampled_from([40, 60]).map(lambda psi: {"measured": {"cut_out_psi": psi}}),
    SPLICES.map(lambda row: {"found": [row]}),
    st.just({}),
)


@st.composite
def records(draw: Any) -> Hole:
    """A well's record after some sheets; what does not fit those before it was refused."""
    begun = {"date": draw(DAYS), "reason": "new well", "set": parts(draw(FEET))}
    sheets = [begun]
    for _ in range(draw(st.integers(0, 5))):
        day = draw(DAYS)
        dated = {"start": day} if draw(st.integers(0, 4)) == 0 else {"date": day}
        sheets.append({**dated, "reason": draw(OTHER_REASONS), **draw(WORK)})
    kept: list[Recorded] = []
    for n, data in enumerate(sheets):
        read = read_sheet(data, today=TODAY)
        try:
            replay([*kept, Recorded(f"v{n}", "w", read, n)])
        except ReplayError:
            continue
        kept.append(Recorded(f"v{n}", "w", read, n))
    kept.sort(key=lambda one: one.place)
    story = replay(kept)
    return hole(
        entered_on=FIRST,
        components=story.components,
        observations=[row for _, row in story.observations],
        inspections=[row for _, row in story.inspections],
        visits=[_visit(one) for one in kept],
    )


def _visit(one: Recorded) -> Visit:
    said = one.sheet
    flags = (said.left_without_pump, "", "", said.opened, said.disinfected)
    kind = SheetKind.VISIT
    return Visit(one.root_uid, kind, said.start, said.end, said.reason, (), *flags)


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(well=records(), day=DAYS)
def test_what_was_due_by_a_day_is_there_as_of_that_day(well: Hole, day: date) -> None:
    for rule in RULES:
        numbers = Settings().numbers(rule.RULE)
        then = [f for f in rule.judge(well.on(day), numbers) if f.holds(day)]
        for found in rule.judge(well, numbers):
            if found.holds(day):
                assert found.occurrence in {f.occurrence for f in then}, (day, found)
            if found.surely_from is not None and found.surely_from <= day and found.until is None:
                # A graver one that only may have held then is another answer.
                alike = [f for f in then if f.occurrence == found.occurrence]
                alike = [f for f in alike if f.severity is found.severity]
                assert all(f.surely_from and f.surely_from <= day for f in alike), (day, found)


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(well=records())
def test_an_open_job_ends_only_by_a_visit_that_could_have_ended_it(well: Hole) -> None:
    numbers = Settings().numbers(unfinished.RULE)
    found = {(f.subject, f.counts_from) for f in unfinished.judge(well, numbers)}
    pumps = [c for c in well.components if c.kind is Kind.PUMP]
    told = {c.set_by for c in pumps} | {said.sheet_uid for c in pumps for said in c.claims}
    told |= {away.back_by for c in pumps for away in c.absences}
    visits = well.visited()
    for n, job in enumerate(visits):
        later = visits[n + 1 :]
        if job.end is None and ("job", job.uid) not in found:
            assert any(v.end and (v.reason is job.reason or v.uid in told) for v in later)
        last = job.left_without_pump and not any(v.left_without_pump for v in later)
        if last and ("pump", job.uid) not in found:
            assert any(v.uid in told for v in later)
