"""The pieces of a page: frozen, and free of any layout."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.facts import Fact
from wellbook.quantities import UNITS, show, split_suffix
from wellbook.terms import Basis, MeasuringPoint, Word

LONGEST_DATE = len("by 2026-11-25")
"""What a column of dates has room for; a longer one stands in the text."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a page: a label, what is known, the mark of its basis, and as of when."""

    label: str
    text: str
    mark: str = ""
    as_of: str = ""


@dataclass(frozen=True, slots=True)
class Noted:
    """A piece of a line with its own basis and date."""

    text: str
    basis: Basis
    as_of: When


def from_fact(text: str, fact: Fact) -> Noted:
    """A piece that rests on a fact."""
    return Noted(text, fact.basis, fact.as_of)


def merged(label: str, pieces: Sequence[Noted]) -> Line:
    """One line of several pieces: its mark and date are the first's, others carry their own."""
    first = pieces[0]
    texts = [first.text]
    for piece in pieces[1:]:
        same = (piece.basis.mark, piece.as_of) == (first.basis.mark, first.as_of)
        note = "" if same else f" ({piece.basis.mark} {piece.as_of})"
        texts.append(piece.text + note)
    return dated(label, ", ".join(texts), first.basis, first.as_of)


def dated(label: str, text: str, basis: Basis, when: When) -> Line:
    """A line with its basis and date; a date too long for the column stands in the text."""
    words = str(when) if when.known else ""
    if len(words) <= LONGEST_DATE:
        return Line(label, text, basis.mark, words)
    return Line(label, f"{text} ({when})", basis.mark)


def field_text(component: Component, name: str) -> str:
    """One field as people write it; with its own mark where it rests on something else.

    Empty where it is not known.
    """
    fact = component.fact(name, unit_of(name))
    if fact is None:
        return ""
    return value_text(fact.value, fact.unit) + own_mark(component, fact)


def set_text(component: Component) -> str:
    """Since when it is there, as far as that is known; with its own mark, as a field has it."""
    known = component.set_on.known
    return f"set {component.set_on}{own_mark(component, component.setting)}" if known else ""


def own_mark(component: Component, fact: Fact | None) -> str:
    """The mark and date of what rests on something else than its part does; else nothing."""
    if fact is None or fact.basis.mark == component.basis.mark:
        return ""
    return f" ({fact.basis.mark} {fact.as_of})"


def unit_of(name: str) -> str:
    """The unit of a field, "" where its name has none; a field may be called by its unit alone.

    >>> unit_of("set_depth_ft"), unit_of("hp"), unit_of("material")
    ('ft', 'hp', '')
    """
    return name if name in UNITS else split_suffix(name)[1]


def value_text(value: object, unit: str) -> str:
    """A value as people write it."""
    if isinstance(value, When):
        return str(value)
    if isinstance(value, Word):
        return value.label
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return show(value, unit)
    text = str(value)
    return f"{text} {unit}" if unit and text else text.replace("_", " ")


def depth_text(fact: Fact) -> str:
    """A depth with the point that it was measured from, as far as that is known."""
    feet = show(abs(fact.number), "ft")
    if fact.point is MeasuringPoint.CASING_TOP:
        return f"{feet} {_side(fact.number)} casing top"
    if fact.point is MeasuringPoint.GROUND:
        return f"{feet} {_side(fact.number)} ground"
    return feet if fact.number >= 0 else f"{feet} above ground"


def _side(feet: float) -> str:
    return "above" if feet < 0 else "below"


def weakest(bases: Iterable[Basis]) -> Basis:
    """What is worked out from several facts rests on the weakest of them."""
    return max(bases, key=lambda basis: basis.rank)
