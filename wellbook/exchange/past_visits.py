"""Rows that tell of visits: each becomes a visit sheet, on the basis of the paper that it stands on.

A reason is taken from the words of the trade in its cell. What seals a hole, deepens it or disinfects it
changes what is judged from then on, so that only the plain word for it counts.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from wellbook.hole.readings import READINGS
from wellbook.terms import Basis, Reason

OF_THE_DAY = {"water_level_ft": "static_level_ft", "yield_gpm": "yield_gpm"}
"""Columns of a well whose values are of the day, and their names in a visit sheet."""

_WORDS = (
    (Reason.NO_WATER, r"no water|out of water|without water"),
    (Reason.DECOMMISSIONING, r"decommission(?:ed|ing)?|abandonment"),
    (Reason.HYDROFRACTURING, r"hydro-?frac\w*"),
    (Reason.DEEPENING, r"deepen(?:ed|ing)?"),
    (Reason.CLEANING_OUT, r"clean(?:ed|ing)? out"),
    (Reason.DISINFECTION, r"disinfect\w*|(?:shock )?chlorinat\w*"),
    (Reason.WATER_SAMPLE, r"(?:water )?sampl\w*|water test|bacteria test|coliform"),
    (Reason.YIELD_TEST, r"(?:yield|flow|pump(?:ing)?) test"),
    (Reason.NEW_WELL, r"new well"),
    (Reason.REPLACEMENT, r"replac\w*|new pump|pump change"),
    (Reason.PULL_AND_INSPECT, r"pull(?:ed|ing)?(?: and inspect\w*| pump| the pump)?"),
    (Reason.LOW_YIELD, r"low (?:yield|flow|water|pressure)"),
    (Reason.OPENING_UP, r"open(?:ed|ing)? up|spring start"),
    (Reason.CLOSING_DOWN, r"clos(?:ed|ing) down|winteri[sz]\w*"),
    (Reason.CHECK_UP, r"check-? ?up|annual|maintenance|service(?: call)?|inspect\w*|routine"),
)
"""Common practice, no published source; the first that fits counts."""


def reason_in(text: str) -> Reason:
    """The reason that a cell names; `Reason.OTHER` where it names none.

    >>> reason_in("Annual check-up"), reason_in("pump replaced"), reason_in("sealed cap")
    (<Reason.CHECK_UP: 'check_up'>, <Reason.REPLACEMENT: 'replacement'>, <Reason.OTHER: 'other'>)
    """
    said = re.sub(r"[_\s]+", " ", text.casefold()).strip()
    exact = next((r for r in Reason if said in (r.label, r.value)), None)
    if exact is not None:
        return exact
    return next((r for r, words in _WORDS if re.search(rf"\b(?:{words})\b", said)), Reason.OTHER)


def visit_document(
    day: date, reason: str, crew: str, notes: str, measured: dict[str, Any]
) -> dict[str, Any]:
    """A visit as the tables of its sheet. Words that name no reason stay among its notes."""
    found = reason_in(reason)
    keep = reason if reason and reason.casefold() != found.label else ""
    document: dict[str, Any] = {
        "date": day.isoformat(),
        "reason": found.value,
        "basis": Basis.PAPER_RECORD.value,
    }
    names = [name for name in re.split(r"\s*(?:[,;/&+]|\band\b)\s*", crew) if name]
    if names:
        document["crew"] = names
    if said := [x for x in (keep, notes) if x]:
        document["notes"] = "\n".join(said)
    if measured:
        document["measured"] = measured
    return document


def joined(mine: dict[str, Any], theirs: dict[str, Any]) -> dict[str, Any]:
    """Two rows of one visit as one: what each says is kept."""
    both = dict(mine)
    if both["reason"] == Reason.OTHER.value:
        both["reason"] = theirs["reason"]
    if crew := [*mine.get("crew", ()), *theirs.get("crew", ())]:
        both["crew"] = list(dict.fromkeys(crew))
    if notes := [x for x in (mine.get("notes"), theirs.get("notes")) if x]:
        both["notes"] = "\n".join(dict.fromkeys(notes))
    measured = dict(mine.get("measured", {}))
    for name, value in theirs.get("measured", {}).items():
        have = measured.get(name, [])
        have = have if isinstance(have, list) else [have]
        new = [v for v in (value if isinstance(value, list) else [value]) if v not in have]
        whole = [*have, *new]
        measured[name] = whole[0] if len(whole) == 1 else whole
    return {**both, "measured": measured} if measured else both


def readings_of_a_visit(columns: Any) -> list[str]:
    """The targets of readings among the columns of a mapping."""
    return [t for t in columns if t.startswith("visit.") and t.removeprefix("visit.") in READINGS]
