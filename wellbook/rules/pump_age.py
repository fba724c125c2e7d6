"""A pump past the years that pumps last.

Nobody pulls a working pump because of its age. But when the string is up for another reason, a pump
past its years is not sent back down; and once it is surely past them, the next visit is the time to
talk about it, before a dry tap does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules import names
from wellbook.rules.customer_words import in_words
from wellbook.rules.figures import over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    from_age,
    occurrence,
)
from wellbook.rules.spans import said_since
from wellbook.terms import Occasion, PumpType, Severity

NAME = names.PUMP_AGE
PUBLISHED = (
    "well pumps: 8 low, 10 average, 12 good, 15 excellent years"
    " (Marshall & Swift Life Expectancy Guidelines, section 97, 2012)"
)


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Possibly past its years from the low figure, surely from the excellent one."""
    found = hole.the(Pump)
    if found is None or found[1].type is PumpType.HAND:
        return
    component, pump = found
    born, told_by_model = _born(component, pump)
    if not born.known:
        return
    deep = pump.set_depth_ft is not None and over(pump.set_depth_ft, numbers["deep_from_ft"]) >= 0
    may_years = numbers["deep_may_years" if deep else "may_years"]
    may, surely = from_age(born, may_years, numbers["surely_years"])
    if deep:
        may = _deep_from(hole, component, may, from_age(born, numbers["may_years"], 0)[0])
    what = _what(component.set_on, born, told_by_model)
    basis = f"set at {pump.set_depth_ft:g} ft: deep ones" if deep else "pumps"
    watch = Finding(
        rule=NAME,
        subject="pump",
        occurrence=occurrence(NAME, "pump", component.uid),
        may_from=may,
        surely_from=surely,
        until=surely,
        severity=Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=f"{what}; {basis} last {may_years:g} to {numbers['surely_years']:g} years",
        action="when the string is up, do not send this pump back down",
        source=f"deep pumps: {COMMON_PRACTICE}; {PUBLISHED}" if deep else PUBLISHED,
        counts_from=component.uid,
        numbers={
            "may_years": may_years,
            "surely_years": numbers["surely_years"],
            "set_depth_ft": pump.set_depth_ft,
        },
    )
    yield watch
    if surely is not None:
        yield replace(
            watch,
            may_from=surely,
            until=None,
            severity=Severity.PLAN,
            occasion=Occasion.NEXT_VISIT,
            action="surely past its years: talk about a new pump before this one stops",
            to_customer=(
                f"{'By its model year the pump was made' if told_by_model else 'The pump was set'}"
                f" {in_words(born)}, and few pumps outlast {numbers['surely_years']:g} years: let us"
                " talk about a new one before it stops."
            ),
        )


def _born(component: Component, pump: Pump) -> tuple[When, bool]:
    """What its age counts from: the setting; else the model year, as "at least"."""
    set_on = component.set_on
    if set_on.earliest is not None and set_on.latest is not None:
        return set_on, False
    if pump.model_year is not None and pump.model_year.known:
        return pump.model_year, True
    return set_on, False


def _deep_from(
    hole: Hole, component: Component, may: date | None, not_deep: date | None
) -> date | None:
    """From when a deep pump may be past its years: let down later, it was no deep one before."""
    hangs, _ = said_since(hole, component, "set_depth_ft")
    if may is None or not_deep is None or hangs is None:
        return may
    return max(may, min(hangs, not_deep))


def _what(set_on: When, born: When, told_by_model: bool) -> str:
    if not told_by_model:
        return f"pump set {born}"
    when = f"set {set_on}" if set_on.known else "setting date unknown"
    return f"pump at least as old as its model year ({born}), {when}"


RULE = Rule(
    name=NAME,
    title="pump past the years that pumps last",
    why=__doc__ or "",
    thresholds=(
        Threshold("may_years", 8, "an age that a pump may not outlast", PUBLISHED, 1, 100),
        Threshold("surely_years", 15, "an age that few pumps outlast", PUBLISHED, 1, 100),
        Threshold(
            "deep_from_ft", 300, "a pump set this deep or deeper is deep", COMMON_PRACTICE, 0, 5000
        ),
        Threshold(
            "deep_may_years", 7, "an age that a deep pump may not outlast", COMMON_PRACTICE, 1, 100
        ),
    ),
    finds=judge,
    in_order=(("may_years", "surely_years"), ("deep_may_years", "surely_years")),
)
