"""Papers for others than the customer: pump report, sealing record, return under warranty."""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.component import Component
from wellbook.hole.describe import describe, describe_found
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Motor
from wellbook.hole.records import Visit
from wellbook.present.job_papers.content import (
    IN_THEIR_WORDS,
    UNKNOWN,
    Entry,
    PaperContent,
    bore_entries,
    crew_of,
    part_entries,
    pipe_entry,
    place_entries,
    reading_entry,
    section,
    text_entry,
    water_entries,
)
from wellbook.rules.finding import COMMON_PRACTICE
from wellbook.rules.paper_facts import pump_set_by
from wellbook.terms import Kind, Reason

PUMP_SOURCE = (
    "fields that pump reports ask for: Michigan R 325.1676 and Hawaii part II (60 days), West"
    " Virginia 64-19-5 (30 days; not for a swap that leaves depth and output as they were); the local"
    " code says whether, to whom and on which form"
)
SEALING_SOURCE = f"{COMMON_PRACTICE}; the local code says to whom and on which form"
WARRANTY_SOURCE = f"{COMMON_PRACTICE}; the maker says what has to come with it"
MIND_THE_CODE = "The local code goes before this sheet: look up what it asks for."

PUMP_FIELDS = {
    "pump type": "type",
    "pump maker": "maker",
    "pump model": "model",
    "pump serial": "serial",
    "pump date code": "date_code",
    "pump model year": "model_year",
    "horsepower": "hp",
    "rated flow": "rated_gpm",
    "set at": "set_depth_ft",
    "warranty until": "warranty_until",
}
_MOTOR_FIELDS = {
    "motor maker": "maker",
    "motor serial": "serial",
    "volts": "supply_v",
    "phases": "phases",
    "wires": "wires",
}


def pump_report(hole: Hole, visit: Visit, *, contractor: str = "") -> PaperContent:
    """The report of a pump that was set.

    Parameters
    ----------
    contractor
        The shop with its licence, as it signs; unknown where it gave none.
    """
    pump, motor = pump_set_by(hole, visit), hole.the(Motor)
    return PaperContent(
        title="Pump report",
        well=hole.tag,
        sections=(
            section("The well", place_entries(hole)),
            section("The job", _job(visit, contractor)),
            section("The bore", bore_entries(hole)),
            section("The water", water_entries(hole)),
            section("The pump", part_entries(hole, pump, PUMP_FIELDS)),
            section("Head", iter([text_entry("rated flow at head", _at_head(hole, pump))])),
            section("The motor", part_entries(hole, motor[0] if motor else None, _MOTOR_FIELDS)),
            section("The pipe", iter([pipe_entry(hole)])),
            section("What came out", _out(hole, visit)),
        ),
        source=PUMP_SOURCE,
        cautions=(MIND_THE_CODE,),
    )


def _at_head(hole: Hole, pump: Component | None) -> str:
    """The flow that it is rated for, with the head that its curve has there."""
    model = hole.pump_models.get(pump.uid) if pump else None
    if model is None or model.curve is None:
        return ""
    try:
        head = model.curve.head_ft(model.rated_gpm)
    except ValueError:
        return ""
    return f"{model.rated_gpm:g} gpm at {head:.0f} ft, by the curve of {model.name}"


def sealing_record(hole: Hole, visit: Visit, *, contractor: str = "") -> PaperContent:
    """The record of a well that was sealed for good."""
    return PaperContent(
        title="Sealing record",
        well=hole.tag,
        sections=(
            section("The well", place_entries(hole)),
            section("The job", _job(visit, contractor)),
            section("The bore", bore_entries(hole)),
            section("The water", water_entries(hole)),
            section("How it was sealed", _sealed(visit)),
            section("What came out", _out(hole, visit)),
            section("What was left in it", _left_in(hole)),
        ),
        source=SEALING_SOURCE,
        cautions=(MIND_THE_CODE,),
    )


def _sealed(visit: Visit) -> Iterator[Entry]:
    if visit.notes:
        yield Entry("method", visit.notes, IN_THEIR_WORDS, str(visit.start), crew_of(visit))
    else:
        yield Entry("method")
    # The book has no fields for them: whoever fills the form in knows.
    yield Entry("material")
    yield Entry("quantity")


def _left_in(hole: Hole) -> Iterator[Entry]:
    for kind in Kind:
        for part in hole.sealed_in(kind):
            yield Entry(kind.label, describe(part.part), part.basis.label, str(part.as_of))


def warranty_return(hole: Hole, visit: Visit, pump: Component) -> PaperContent:
    """The paper that goes back with a pump that failed within its warranty."""
    motors = [c for c in hole.components if c.kind is Kind.MOTOR and c.pulled_by == visit.uid]
    return PaperContent(
        title="Return under warranty",
        well=hole.tag,
        sections=(
            section("The well", place_entries(hole)),
            section("What failed", part_entries(hole, pump, PUMP_FIELDS)),
            section("Its motor", part_entries(hole, motors[0] if motors else None, _MOTOR_FIELDS)),
            section("Set and pulled", _span(pump, motors, visit)),
            section("Read at the pull", _read(hole, visit)),
            section("The water", water_entries(hole)),
        ),
        source=WARRANTY_SOURCE,
        cautions=("A pump from a well is cleaned before it is sent; the maker says how.",),
    )


def _span(pump: Component, motors: list[Component], visit: Visit) -> Iterator[Entry]:
    yield Entry("set", str(pump.set_on), pump.setting.basis.label, str(pump.setting.as_of))
    yield Entry("pulled", str(pump.pulled_on or visit.start), "", "", crew_of(visit))
    for part in (pump, *motors):
        why = part.why_pulled or UNKNOWN
        yield Entry(f"why the {part.kind.label} was pulled", why, IN_THEIR_WORDS, str(visit.start))
        cause = part.cause.label if part.cause else UNKNOWN
        yield Entry(f"cause, {part.kind.label}", cause, "as found by the crew", str(visit.start))


def _read(hole: Hole, visit: Visit) -> Iterator[Entry]:
    for seen in hole.observations:
        if seen.sheet_uid == visit.uid:
            yield reading_entry(hole, seen)
    for found in hole.found:
        if found.sheet_uid == visit.uid:
            basis = IN_THEIR_WORDS if found.note else "seen"
            yield Entry("found", describe_found(found), basis, str(found.on), crew_of(visit))


def _job(visit: Visit, contractor: str) -> Iterator[Entry]:
    yield text_entry("contractor and licence", contractor)
    yield Entry("begun", str(visit.start))
    yield text_entry("ended", str(visit.end) if visit.end else None)
    yield Entry("reason", visit.reason.label)
    yield Entry("crew", crew_of(visit))
    done = visit.disinfected or visit.reason is Reason.DISINFECTION
    yield Entry("disinfected", "yes" if done else "not on record")


def _out(hole: Hole, visit: Visit) -> Iterator[Entry]:
    for part in hole.components:
        if part.pulled_by == visit.uid:
            yield Entry("pulled", describe(part.part), part.basis.label, str(part.as_of))
