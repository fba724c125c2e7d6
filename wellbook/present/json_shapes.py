"""The shapes that other programs read. Keys change only with the version of a shape."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from wellbook.dates import When
from wellbook.hole.facts import Fact
from wellbook.rules.finding import Finding

Shape = dict[str, Any]


def envelope(name: str, version: int, **payload: Any) -> Shape:
    """An answer: which shape it has, and its payload, each date in it by its bounds.

    >>> envelope("wellbook.due", 1, items=[])
    {'schema': {'name': 'wellbook.due', 'version': 1}, 'items': []}
    """
    return {"schema": {"name": name, "version": version}, **_dates_in(payload)}


def _dates_in(value: Any) -> Any:
    if isinstance(value, When):
        return when_json(value)
    if isinstance(value, Mapping):
        return {name: _dates_in(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_dates_in(one) for one in value]
    return value


def error_json(code: str, message: str, where: str) -> Shape:
    """An error."""
    error = {"code": code, "message": message, "where": where}
    return envelope("wellbook.error", 1, error=error)


def day_json(day: date | None) -> str | None:
    """A day, or null."""
    return None if day is None else day.isoformat()


def when_json(when: When | None) -> Shape | None:
    """A date as uncertain as it is known: its bounds and the user's words."""
    if when is None:
        return None
    return {
        "earliest": day_json(when.earliest),
        "latest": day_json(when.latest),
        "text": str(when),
    }


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
    }
