"""Papers: 10 days and 48 hours for the laboratory's sheet (Wisconsin NR 812.46(5)), 60 days for a
pump report (Michigan R 325.1676, Hawaii) or 30 (West Virginia 64-19-5); else common practice."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from reference_files import SERVICE, each
from rule_holes import ENTERED, hole, judged, pump, sample, visit

from wellbook.dates import When
from wellbook.hole.records import Paper
from wellbook.rules import catalogue
from wellbook.rules.finding import Settings
from wellbook.rules.papers_owed import RULE
from wellbook.terms import (
    Bacteria,
    Cause,
    PaperKind,
    Reason,
    Severity,
    SheetKind,
    WellStatus,
)

DAY = date(2026, 6, 2)


def owed(well, **changed):
    """Kind -> severity by the day from which it holds, and the day on which the last one ends."""
    found: dict[str, list[tuple[date, str]]] = {}
    for f in judged(RULE, well, **changed):
        found.setdefault(str(f.numbers["kind"]), []).append((f.may_from, f.severity.value))
    return found


def ends(well, **changed):
    return max(f.until for f in judged(RULE, well, **changed))


def job(reason=Reason.CHECK_UP, start=DAY, **more):
    return visit(start, reason, uid="job", **more)


def taken(*results, nitrate=None):
    return [
        replace(sample(DAY, bacteria, nitrate=nitrate), sheet_uid="job") for bacteria in results
    ]


# -- the customer's report -------------------------------------------------------------------------


def test_a_report_is_owed_for_ten_days_and_a_year_and_never_buries_what_is_worse():
    well = hole(visits=[job()])
    assert owed(well) == {"report": [(DAY, "plan")]}
    assert "by 2026-06-12" in judged(RULE, well)[0].reason
    assert ends(well) == date(2027, 6, 13)
    assert {f.occurrence for f in judged(RULE, well)} == {"papers-owed:report:job"}


@pytest.mark.parametrize(
    ("day", "severity"),
    [
        (DAY, "plan"),
        (date(2026, 6, 12), "plan"),
        (date(2026, 6, 13), "act"),
        (date(2027, 6, 12), "act"),
        (date(2027, 6, 13), None),
    ],
)
def test_each_day_has_one_of_the_two_or_none(day, severity):
    well = hole(visits=[job(Reason.DECOMMISSIONING)], status=WellStatus.SEALED)
    numbers = {"sealing_record_days": 10}
    holding = [f for f in judged(RULE, well, **numbers) if f.holds(day)]
    assert [f.severity.value for f in holding] == ([severity] if severity else [])


def test_it_counts_from_the_end_of_a_job_of_several_days():
    several = job(end=date(2026, 6, 5))
    (report,) = judged(RULE, hole(visits=[several]), report_days=3)
    assert (report.may_from, report.numbers["deadline"]) == (date(2026, 6, 5), "2026-06-08")


@pytest.mark.parametrize(
    "no_job",
    [
        job(start=ENTERED - timedelta(days=1)),
        job(still_open=True),
        job(kind=SheetKind.CALL),
        job(kind=SheetKind.OPENING),
        job(Reason.WATER_SAMPLE),
    ],
    ids=["before the book", "still open", "a call", "the opening record", "a trip for a sample"],
)
def test_what_owes_no_report(no_job):
    assert owed(hole(visits=[no_job])) == {}


def test_a_job_on_the_day_on_which_the_well_was_entered_owes_one():
    assert "report" in owed(hole(visits=[job(start=ENTERED)]))


def test_a_shop_that_sends_none_is_asked_for_none():
    assert owed(hole(visits=[job()]), report_days=0) == {}


@pytest.mark.parametrize("kind", ["report", "laboratory_sheet"])
def test_what_was_sent_is_owed_no_more(kind):
    well = hole(visits=[job()], samples=taken(Bacteria.ABSENT))
    paper = Paper("p", "job", PaperKind(kind), DAY, "", "me")
    assert set(owed(replace(well, papers=(paper,)))) == {"report", "laboratory_sheet"} - {kind}
    other = replace(paper, sheet_uid="other")
    assert len(owed(replace(well, papers=(other,)))) == 2
    assert len(owed(replace(well, papers=(paper,)).on(DAY - timedelta(days=1)))) == 0


def test_what_ended_before_the_last_day_of_the_record_is_history():
    late = visit(date(2027, 6, 13), Reason.OTHER, uid="late")
    assert {f.counts_from for f in judged(RULE, hole(visits=[job(), late]))} == {"late"}
    sooner = visit(date(2027, 6, 12), Reason.OTHER, uid="late")
    assert {f.counts_from for f in judged(RULE, hole(visits=[job(), sooner]))} == {"job", "late"}


# -- the laboratory's sheet ------------------------------------------------------------------------


@pytest.mark.parametrize("check", each(SERVICE, lambda check: check["id"] == "wi-notify"))
def test_the_days_of_the_laboratorys_sheet_are_wisconsins(check):
    defaults = {t.name: t.default for t in RULE.thresholds}
    assert defaults["laboratory_sheet_days"] == check["expected"]["lab_report_to_owner_max_days"]
    assert defaults["bacteria_days"] * 24 == check["expected"]["positive_notice_max_hours"]


@pytest.mark.parametrize(
    ("bacteria", "act_from"),
    [
        (Bacteria.ABSENT, None),
        (Bacteria.COLIFORM_PRESENT, date(2026, 6, 5)),
        (Bacteria.ECOLI_PRESENT, date(2026, 6, 5)),
    ],
)
def test_a_sheet_with_bacteria_goes_out_within_48_hours(bacteria, act_from):
    well = hole(visits=[job(Reason.WATER_SAMPLE)], samples=taken(bacteria))
    urgent = [(act_from, "act")] if act_from else []
    assert owed(well) == {"laboratory_sheet": [(DAY, "plan"), *urgent]}


def test_one_of_several_samples_is_enough():
    well = hole(
        visits=[job(Reason.WATER_SAMPLE)], samples=taken(Bacteria.ABSENT, Bacteria.ECOLI_PRESENT)
    )
    assert owed(well)["laboratory_sheet"][1][0] == date(2026, 6, 5)


def test_a_sample_without_a_result_has_no_sheet_yet():
    assert owed(hole(visits=[job(Reason.WATER_SAMPLE)], samples=taken(None))) == {}
    with_nitrate = hole(visits=[job(Reason.WATER_SAMPLE)], samples=taken(None, nitrate=3.0))
    assert set(owed(with_nitrate)) == {"laboratory_sheet"}


# -- the pump report -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("days", "act_from"), [(60, date(2026, 8, 2)), (30, date(2026, 7, 3)), (0, None)]
)
def test_a_pump_that_was_set_is_reported_as_the_state_asks(days, act_from):
    well = hole(visits=[job(Reason.REPLACEMENT)], components=[pump(DAY, set_by="job")])
    found = owed(well, pump_report_days=days).get("pump_report")
    assert found == (None if act_from is None else [(DAY, "plan"), (act_from, "act")])


def test_a_pump_that_was_set_by_another_sheet_is_not_reported_again():
    well = hole(visits=[job()], components=[pump(DAY, set_by="opening")])
    assert "pump_report" not in owed(well)


# -- the warranty return ---------------------------------------------------------------------------


def failed(until="2027-03-12", cause=Cause.LIGHTNING):
    old = pump(
        "2024-03-12",
        warranty_until=When.parse(until, said_on=DAY) if until else None,
        pulled_on=DAY,
        pulled_by="job",
    )
    return hole(visits=[job(Reason.NO_WATER)], components=[replace(old, cause=cause)])


def test_a_pump_that_failed_goes_back_before_its_warranty_ends():
    assert owed(failed())["warranty_return"] == [(DAY, "plan"), (date(2027, 2, 10), "act")]
    back = [f for f in judged(RULE, failed()) if f.numbers["kind"] == "warranty_return"]
    assert [f.holds(date(2027, 3, 12)) for f in back] == [False, True]
    assert [f.holds(date(2027, 3, 13)) for f in back] == [False, False]
    assert "its warranty ends on March 12, 2027" in back[0].to_customer


def test_a_warranty_of_which_only_the_year_is_known_is_met_before_the_year_begins():
    """Nobody can say on which day of 2027 it ends: sent by its first one it is surely in time."""
    assert owed(failed("2027"))["warranty_return"] == [(DAY, "plan"), (date(2026, 12, 2), "act")]
    back = [f for f in judged(RULE, failed("2027")) if f.numbers["kind"] == "warranty_return"]
    assert {f.numbers["deadline"] for f in back} == {"2027-01-01"}
    assert back[-1].until == date(2028, 1, 1)
    assert "its warranty ends in 2027, and" in back[0].to_customer
    # A year that has begun: it may still be in time to its last day.
    begun = [f for f in judged(RULE, failed("2026")) if f.numbers["kind"] == "warranty_return"]
    assert {f.numbers["deadline"] for f in begun} == {"2026-12-31"}


def test_near_its_end_it_is_urgent_at_once():
    assert owed(failed("2026-06-20"))["warranty_return"] == [(DAY, "act")]


@pytest.mark.parametrize(
    ("until", "cause"),
    [("2026-06-01", Cause.LIGHTNING), (None, Cause.LIGHTNING), ("2027-03-12", None)],
    ids=["over", "not on record", "nothing failed"],
)
def test_what_goes_back_to_nobody(until, cause):
    assert "warranty_return" not in owed(failed(until, cause))


# -- the sealing record ----------------------------------------------------------------------------


def sealed(**more):
    return hole(status=WellStatus.SEALED, visits=[job(Reason.DECOMMISSIONING, **more)])


def test_a_sealed_well_owes_its_sealing_record_and_nothing_else():
    found = catalogue.judge(sealed(), Settings())
    assert {f.subject for f in found} == {"sealing record"}
    assert [f.severity for f in found] == [Severity.ACT, Severity.PLAN]
    paper = Paper("p", "job", PaperKind.SEALING_RECORD, DAY, "", "me")
    assert catalogue.judge(replace(sealed(), papers=(paper,)), Settings()) == []


def test_a_well_that_was_opened_again_owes_none():
    again = replace(sealed(reopened=True), status=WellStatus.IN_USE)
    assert "sealing_record" not in owed(again)
