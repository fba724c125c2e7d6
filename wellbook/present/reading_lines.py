"""The newest readings and the last water test, a line for each thing that people ask about."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from wellbook.engineering.analytes import ANALYTES, NITRATE
from wellbook.engineering.condition import winding_reading
from wellbook.hole.describe import analyte_texts, number_text
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.records import Sample
from wellbook.present.lines import LONGEST_DATE, Line, Noted, from_fact, merged
from wellbook.quantities import show
from wellbook.rules.cable_run import cable_missing, cable_run
from wellbook.rules.motor_facts import motor_facts
from wellbook.rules.sample_order import place
from wellbook.terms import Kind, Quantity

_GROUPS = (
    (
        "electric",
        (
            Quantity.INSULATION_MEGOHM,
            Quantity.WINDING_OHM,
            Quantity.RUNNING_A,
            Quantity.SUPPLY_V,
        ),
    ),
    (
        "pressure",
        (
            Quantity.PRESSURE_LOSS_PSI,
            Quantity.CUT_IN_PSI,
            Quantity.CUT_OUT_PSI,
            Quantity.PRECHARGE_PSI,
            Quantity.FLOW_GPM,
        ),
    ),
)
_IN_WATER = (Quantity.PH, Quantity.HYDROGEN_SULFIDE_MG_L)
_NAMES = {Quantity.SUPPLY_V: "", Quantity.RUNNING_A: "", Quantity.PRESSURE_LOSS_PSI: "lost"}


def reading_lines(hole: Hole) -> Iterator[Line]:
    """Electrical and hydraulic readings, then the water."""
    for label, quantities in _GROUPS:
        pieces = [piece for q in quantities for piece in _pieces(hole, q)]
        if pieces:
            yield merged(label, pieces)
    yield from _water(hole)


_READ_ON = {
    Quantity.INSULATION_MEGOHM: (Kind.PUMP, Kind.MOTOR),
    Quantity.WINDING_OHM: (Kind.PUMP, Kind.MOTOR),
    Quantity.RUNNING_A: (Kind.PUMP, Kind.MOTOR),
    Quantity.FLOW_GPM: (Kind.PUMP,),
    Quantity.CUT_IN_PSI: (Kind.SWITCH,),
    Quantity.CUT_OUT_PSI: (Kind.SWITCH,),
    Quantity.PRECHARGE_PSI: (Kind.TANK,),
}
"""Parts whose readings say nothing of the next one: they stay in the history."""


def current(hole: Hole, quantity: Quantity) -> Fact | None:
    """What counts of a quantity, where it was read of what is there now."""
    fact = hole.fact(quantity)
    return None if fact is None or _of_one_before(hole, quantity, fact) else fact


def last_measured(hole: Hole, quantity: Quantity, than: Fact) -> Fact | None:
    """The last measured value beside a newer one that was not, where it is of what is there now."""
    fact = hole.last_measured(quantity, than)
    return None if fact is None or _of_one_before(hole, quantity, fact) else fact


def _of_one_before(hole: Hole, quantity: Quantity, fact: Fact) -> bool:
    read = fact.as_of.latest
    there = [c for kind in _READ_ON.get(quantity, ()) for c in hole.down(kind)]
    return read is not None and any(c.set_on.is_after(read) for c in there)


def _at_the_change(hole: Hole, quantity: Quantity, fact: Fact) -> str:
    """Read on the day on which its part took another's place: it may be of either."""
    read = fact.as_of
    for kind in _READ_ON.get(quantity, ()):
        out = [c for c in hole.components if c.kind is kind and c.pulled_on is not None]
        gone = [c.pulled_on for c in out if c.pulled_on and c.pulled_on.overlaps(read)]
        if gone and read.exact and any(c.set_on.overlaps(read) for c in hole.down(kind)):
            return f" when the {kind.label} was changed"
    return ""


def _less_the_cable(hole: Hole, quantity: Quantity, fact: Fact) -> str:
    """What of a resistance read at the top is the motor's, where the cable's run is known."""
    motor = motor_facts(hole)
    if quantity is not Quantity.WINDING_OHM or motor is None or cable_missing(hole):
        return ""
    try:
        found = winding_reading(fact.number, cable_run(hole, motor.pump).sections)
    except ValueError:
        # A slip of the pen: shown as it was written.
        return ""
    loop = show(found.loop_ohm, "ohm")
    if found.winding_ohm < 0:
        return f", less than its cable's {loop}: a short in it or a splice, or the meter"
    return f", {show(found.winding_ohm, 'ohm')} without its cable's {loop}"


_SET_ON = {
    Quantity.CUT_IN_PSI: (Kind.SWITCH, "cut_in_psi"),
    Quantity.CUT_OUT_PSI: (Kind.SWITCH, "cut_out_psi"),
    Quantity.PRECHARGE_PSI: (Kind.TANK, "precharge_psi"),
}


def _said_of_part(hole: Hole, quantity: Quantity, fact: Fact) -> bool:
    """Whether the line of the switch or the tank says the same, and of no older day."""
    if quantity not in _SET_ON:
        return False
    kind, name = _SET_ON[quantity]
    facts = [c.fact(name) for c in hole.down(kind)]
    return any(
        f is not None
        and f.value == fact.value
        and f.basis.rank <= fact.basis.rank
        and (fact.as_of.latest or date.max) <= (f.as_of.latest or date.min)
        for f in facts
    )


def _pieces(hole: Hole, quantity: Quantity) -> Iterator[Noted]:
    fact = current(hole, quantity)
    if fact is None or _said_of_part(hole, quantity, fact):
        return
    more = _at_the_change(hole, quantity, fact) or _less_the_cable(hole, quantity, fact)
    yield from_fact(reading_text(quantity, fact) + more, fact)
    measured = last_measured(hole, quantity, fact)
    if measured is not None:
        yield from_fact(f"measured {number_text(measured)}", measured)


def reading_text(quantity: Quantity, fact: Fact) -> str:
    """One reading with its name, where the unit does not say it."""
    return f"{_NAMES.get(quantity, quantity.label)} {number_text(fact)}".strip()


def last_sample(hole: Hole) -> Sample | None:
    """The newest sample of which a result is known; else the newest."""
    if not hole.samples:
        return None

    def rank(sample: Sample) -> tuple[bool, str]:
        return bool(result_texts(sample)), str(sample.taken_on.latest or "")

    return max(hole.samples, key=rank)


def result_texts(sample: Sample) -> list[str]:
    """What the laboratory said, one text a result."""
    said = [sample.bacteria.label.replace("ecoli", "E. coli")] if sample.bacteria else []
    if said == ["absent"]:
        said = ["bacteria absent"]
    return [*said, *analyte_texts(sample)]


_SHOWN = 6
"""Of a sample, as many results stand on the page; `wellbook sample list` has all."""


def _told_before(hole: Hole, sample: Sample) -> Iterator[Noted]:
    """Bacteria and nitrate, where the newest sample was looked at for something else."""
    older = sorted(hole.samples, key=place, reverse=True)
    looked = [s for s in older if s.bacteria] if sample.bacteria is None else []
    nitrate = [s for s in older if NITRATE in s.results] if NITRATE not in sample.results else []
    for s in looked[:1]:
        yield Noted(result_texts(s)[0], s.basis, s.taken_on)
    for s in nitrate[:1]:
        analyte = ANALYTES[NITRATE]
        yield Noted(f"{analyte.label} {analyte.said(s.results[NITRATE])}", s.basis, s.taken_on)


def _water(hole: Hole) -> Iterator[Line]:
    sample = last_sample(hole)
    other = [piece for q in _IN_WATER for piece in _pieces(hole, q)]
    if sample is not None:
        other = [*_told_before(hole, sample), *other]
        results = result_texts(sample)
        rest = f" and {len(results) - _SHOWN} more" if len(results) > _SHOWN + 1 else ""
        shown = results[:_SHOWN] if rest else results
        said = ", ".join(shown) + rest or "no result on record"
        by = f", {sample.laboratory}" if sample.laboratory else ""
        taken = str(sample.taken_on)
        column = taken if len(taken) <= LONGEST_DATE else ""
        since = "" if column else f"sample of {taken}: "
        more = "".join(f", {p.text} ({p.basis.mark} {p.as_of})" for p in other)
        yield Line("water", f"{since}{said}{by}{more}", sample.basis.mark, column)
    elif other:
        yield merged("water", other)
