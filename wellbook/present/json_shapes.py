"""The shapes that other programs read. Keys change only with the version of a shape."""

from __future__ import annotations

from datetime import date

from wellbook.dates import When
from wellbook.hole.facts import Fact
from wellbook.present.envelope import Shape, day_json, when_json
from wellbook.rules.finding import Finding
from wellbook.store.lives import Life, standing


def value_json(value: object) -> object:
    """A value: a date by its bounds, a word or a number as it is."""
    return when_json(value) if isinstance(value, When) else value


def fact_json(fact: Fact | None) -> Shape | None:
    """A value with its unit, basis and date; measuring point, state and method where they count.

    A meter whose needle stood past the last mark gives the last mark, and `at_least`.
    """
    if fact is None:
        return None
    shape: Shape = {
        "value": value_json(fact.value),
        "unit": fact.unit,
        "basis": fact.basis.value,
        "as_of": when_json(fact.as_of),
    }
    if fact.point is not None:
        shape["point"] = fact.point.value
    if fact.state is not None:
        shape["state"] = fact.state.value
    if fact.own_method:
        shape["method"] = fact.own_method
    if fact.at_least:
        shape["at_least"] = True
    return shape


def due_json(tag: str, finding: Finding) -> Shape:
    """A due item."""
    return {
        "well": tag,
        "rule": finding.rule,
        "subject": finding.subject,
        "occurrence": finding.occurrence,
        "may_from": day_json(finding.may_from),
        "surely_from": day_json(finding.surely_from),
        "severity": finding.severity.value,
        "occasion": finding.occasion.value,
        "reason": finding.reason,
        "action": finding.action,
        "source": finding.source,
        "numbers": dict(finding.numbers),
        "to_customer": finding.to_customer,
    }


def standing_json(life: Life | None, day: date) -> Shape:
    """Where a due item stands with the customer; of what is booked or put off, for which day."""
    return {
        "standing": standing(life, day).value,
        "for_day": day_json(life.for_day) if life else None,
    }
