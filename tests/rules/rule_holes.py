"""Small invented holes for the tests of the rules, and what the tests ask of findings.

Dates may be given as days, as words ("about 2006", read as of TODAY) or as `When`.
"""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from itertools import count
from math import isclose
from typing import Any

from wellbook.dates import When
from wellbook.engineering.analytes import Result
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Part, Pipe, Pump
from wellbook.hole.records import Inspection, Interval, Observation, Sample, Visit
from wellbook.rules.finding import Finding, Rule, Settings
from wellbook.terms import (
    Bacteria,
    Basis,
    Construction,
    IntervalKind,
    LevelState,
    Occasion,
    Quantity,
    Reason,
    Role,
    Severity,
    SheetKind,
    WellStatus,
)

TODAY = date(2026, 11, 25)
ENTERED = date(2020, 1, 15)

_numbers = count(1)


def when(value: date | str | When | None) -> When:
    """A date as a test gives it."""
    if isinstance(value, When):
        return value
    if value is None:
        return When.unknown()
    return When.on(value) if isinstance(value, date) else When.parse(value, said_on=TODAY)


def _uid(letter: str, uid: str) -> str:
    return uid or f"{letter}{next(_numbers)}"


def hole(**facts: Any) -> Hole:
    """A drilled well of the shop's own, in use, of which nothing is known but what is given."""
    known: dict[str, Any] = {
        "uid": "w",
        "tag": "TF-0001",
        "permit_no": "",
        "role": Role.OURS,
        "use": "",
        "status": WellStatus.IN_USE,
        "construction": Construction.DRILLED,
        "flowing": None,
        "driller": "",
        "drilled_on": When.unknown(),
        "stick_up_ft": None,
        "frost_depth_ft": None,
        "entered_on": ENTERED,
    }
    many = ("components", "observations", "samples", "visits", "inspections", "intervals")
    for name, value in facts.items():
        known[name] = tuple(value) if name in many else value
    return Hole(**known)


def component(
    part: Part,
    *,
    set_on: date | str | When | None = None,
    noted_on: date = ENTERED,
    basis: Basis = Basis.PAPER_RECORD,
    set_by: str = "opening",
    uid: str = "",
    pulled_on: date | str | When | None = None,
    **more: Any,
) -> Component:
    """A part in the well; on paper since the well was entered, its date unknown unless given."""
    out = None if pulled_on is None else when(pulled_on)
    name = _uid("c", uid)
    return Component(name, part, when(set_on), basis, noted_on, set_by, out, **more)


def pump(set_on: date | str | When | None = None, **fields: Any) -> Component:
    """A pump; the fields of the part and of the component mixed."""
    return _split(Pump, set_on, fields)


def pipe(set_on: date | str | When | None = None, **fields: Any) -> Component:
    """A section of pipe."""
    return _split(Pipe, set_on, fields)


def cable(set_on: date | str | When | None = None, **fields: Any) -> Component:
    """A section of cable."""
    return _split(Cable, set_on, fields)


_OF_COMPONENT = ("noted_on", "basis", "set_by", "uid", "pulled_on", "pulled_by", "why_pulled")


def _split(kind: type[Part], set_on: Any, fields: dict[str, Any]) -> Component:
    outer = {n: v for n, v in fields.items() if n in (*_OF_COMPONENT, "claims")}
    inner = {n: v for n, v in fields.items() if n not in outer}
    for name in ("model_year", "made"):
        if inner.get(name) is not None:
            inner[name] = when(inner[name])
    return component(kind(**inner), set_on=set_on, **outer)


def reading(
    quantity: Quantity,
    value: float | None,
    on: date | str | When | None = ENTERED,
    *,
    basis: Basis = Basis.MEASURED,
    uid: str = "",
    **more: Any,
) -> Observation:
    """One measured value."""
    return Observation(_uid("o", uid), quantity, value, when(on), basis, **more)


def depth(value: float, on: date | str | When | None = ENTERED, **more: Any) -> Observation:
    """The depth of the hole, from a log."""
    return reading(Quantity.DEPTH_FT, value, on, **{"basis": Basis.DRILLERS_LOG, **more})


def level(
    value: float | None, state: LevelState, on: date | str | When | None = ENTERED, **more: Any
) -> Observation:
    """A water level."""
    return reading(Quantity.WATER_LEVEL_FT, value, on, state=state, **more)


def sample(
    on: date | str | When | None,
    bacteria: Bacteria | None = None,
    *,
    nitrate: float | None = None,
    arsenic: float | None = None,
    uid: str = "",
    **more: float | Result,
) -> Sample:
    """A water sample and its results: any analyte by its word; a plain number is what was found."""
    given = {"nitrate_mg_l": nitrate, "arsenic_mg_l": arsenic, **more}
    results = {
        word: one if isinstance(one, Result) else Result(one)
        for word, one in given.items()
        if one is not None
    }
    return Sample(_uid("s", uid), when(on), bacteria, "", "", None, results=results)


def visit(
    start: date,
    reason: Reason = Reason.OTHER,
    *,
    end: date | None = None,
    still_open: bool = False,
    uid: str = "",
    kind: SheetKind = SheetKind.VISIT,
    **more: Any,
) -> Visit:
    """A visit of one day unless said otherwise."""
    flags: dict[str, Any] = {
        "left_without_pump": False,
        "left_for_next_time": "",
        "notes": "",
        "opened": False,
        "disinfected": False,
        **more,
    }
    last = None if still_open else end or start
    return Visit(_uid("v", uid), kind, start, last, reason, (), **flags)


def inspection(
    of: Component,
    on: date,
    *,
    splices: int | None = None,
    rubs: int | None = None,
    added: int = 0,
) -> Inspection:
    """What was counted on a cable."""
    return Inspection(_uid("i", ""), of.uid, on, splices, rubs, added, "v")


def interval(
    from_ft: float | None, to_ft: float | None, kind: IntervalKind = IntervalKind.CASING
) -> Interval:
    """A stretch of the bore."""
    since = When.between(None, ENTERED)
    return Interval(_uid("b", ""), kind, from_ft, to_ft, 6.0, "", Basis.DRILLERS_LOG, since)


def judged(rule: Rule, well: Hole, **changed: float | str) -> list[Finding]:
    """What one rule says, with some of its numbers changed; every finding is checked for form."""
    settings = Settings({f"{rule.name}.{name}": value for name, value in changed.items()})
    found = list(rule.judge(well, settings.numbers(rule)))
    for one in found:
        check_form(one, rule)
    return found


def the_one(rule: Rule, well: Hole, **changed: float | str) -> Finding:
    """The only finding of a rule."""
    found = judged(rule, well, **changed)
    assert len(found) == 1, [f.subject for f in found]
    return found[0]


def check_form(finding: Finding, rule: Rule) -> None:
    """What every finding owes its reader."""
    assert finding.rule == rule.name
    assert finding.reason and finding.action and finding.source and finding.subject
    assert finding.counts_from
    assert finding.occurrence.startswith(f"{rule.name}:")
    assert finding.occurrence.endswith(f":{finding.counts_from}")
    if finding.may_from and finding.surely_from:
        assert finding.may_from <= finding.surely_from
    known = [abs(n) for n in finding.numbers.values() if isinstance(n, int | float)]
    for said in measures_of(finding.reason):
        # A reason shows six figures of a number at most, and no more than thousandths.
        assert any(isclose(said, n, rel_tol=1e-5, abs_tol=0.0006) for n in known), (said, finding)
    # A customer is told what a result is compared with; a verdict on it is nobody's here.
    assert "safe" not in (finding.reason + finding.action + finding.to_customer).lower()
    check_told(finding)


def check_told(finding: Finding) -> None:
    """A customer is told one plain sentence, and nothing of what is only asked or doubted."""
    told = finding.to_customer
    if not told:
        return
    assert finding.severity is not Severity.ASK
    assert finding.occasion is not Occasion.NEXT_PULL
    assert re.fullmatch(r"[A-Z][^\n]*[^.\s]\.", told), told
    # Words of the record that a letter does not have: ISO days, and what only the trade reads.
    assert not re.search(r"\d{4}-\d{2}|→|None|\(said |  ", told), told


_MEASURE = re.compile(
    r"(?<![\w,.-])(?:(\d+)-)?(\d+(?:\.\d+)?|\d+/\d+)(?: to (\d+))? (?:ft|psi|gpm|hp|mg/L|years(?! old)"
    r"|months|days|splices?|rubs?)\b"
)


def measures_of(reason: str) -> set[float]:
    """The numbers with a unit that a reason names: another program finds them in `numbers`.

    >>> sorted(measures_of("pump 1-1/2 hp at 320 ft; pumps last 8 to 15 years"))
    [1.5, 8.0, 15.0, 320.0]
    """
    found: set[float] = set()
    for whole, number, last in _MEASURE.findall(reason):
        found.add(float(whole or 0) + float(Fraction(number)))
        found |= {float(last)} if last else set()
    return found
