"""The last value of a reading, in a few words to stand beside the blank for today's."""

from __future__ import annotations

from datetime import date

from wellbook.hole.describe import number_text
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.paper.hole_on_paper import HoleOnPaper
from wellbook.present.reading_lines import current
from wellbook.terms import Kind, Quantity

UNKNOWN = "not on record"
_KEEPS = "\N{NO-BREAK SPACE}"

_OF_A_PART = {
    Quantity.CUT_IN_PSI: (Kind.SWITCH, "cut_in_psi"),
    Quantity.CUT_OUT_PSI: (Kind.SWITCH, "cut_out_psi"),
    Quantity.PRECHARGE_PSI: (Kind.TANK, "precharge_psi"),
}
"""Where a part says what nobody has read yet, or read before it was set."""


def last_reading(hole: Hole, quantity: Quantity) -> str:
    """The newest value with its basis and date; that it is not on record, where there is none."""
    kind, name = _OF_A_PART.get(quantity, (None, ""))
    facts = [current(hole, quantity)]
    facts += [c.fact(name, quantity.unit) for c in hole.down(kind)] if kind else []
    known = [fact for fact in facts if fact is not None]
    return fact_text(max(known, key=_newest)) if known else UNKNOWN


def _newest(fact: Fact) -> tuple[date, bool]:
    return fact.as_of.latest or date.min, fact.record != ""


def fact_text(fact: Fact) -> str:
    """A value, the mark of its basis, and its date where it has one."""
    dated = str(fact.as_of) if fact.as_of.known else ""
    # No row ends between a number and its unit, nor between a mark and its date.
    number = number_text(fact).replace(" ", _KEEPS)
    return f"{number} {_KEEPS.join(word for word in (fact.basis.mark, dated) if word)}"


def line_text(well: HoleOnPaper, label: str) -> str:
    """What the page says under a label, with basis and date; all lines of that label."""
    lines = (*well.page.bore, *well.page.string, *well.page.readings)
    said = [
        f"{line.text} {_KEEPS.join(word for word in (line.mark, line.as_of) if word)}".rstrip()
        for line in lines
        if line.label == label
    ]
    return " · ".join(said) or UNKNOWN
