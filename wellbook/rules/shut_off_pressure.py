"""A pump that can make more pressure than the pipe at it holds.

With its line shut (a switch that sticks, a frozen pipe, a closed valve) a pump makes its shut-off
head, all of it as pressure at its own outlet. The pipe there should hold that, whatever the switch is
set to. It never happens in a good year, so nothing is pulled for it: the next string is chosen by it.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.engineering.lift import Band
from wellbook.engineering.pressure import PSI_PER_FT, column_psi
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import Finding, Numbers, Rule, occurrence
from wellbook.rules.lift import CURVE, Lifter, lifter_of, missing_for_lift
from wellbook.rules.materials import is_metal
from wellbook.rules.spans import Span, both, none_since, said_since
from wellbook.rules.string_facts import below_pipe, bottom_ft, rating_psi
from wellbook.terms import Kind, Occasion, Severity, Verdict

NAME = "shut-off-pressure"
ASPECT = "pump at shut-off"
HELD = f"{PSI_PER_FT} psi a foot of water: the head with the line shut"
_SAID = ("rating_psi", "material", "wall", "nominal_in", "from_ft", "to_ft")


def checks(hole: Hole, _: Numbers) -> Iterator[Check]:
    """The pump's shut-off head as pressure against the rating of the pipe at it."""
    section = _at_the_pump(hole)
    if section is None:
        return
    component, pipe = section
    rating, by = rating_psi(pipe), lifter_of(hole)
    if rating is None and pipe.material is not None and is_metal(pipe.material):
        # Steel pipe bears no rating, and holds more than any pump here gives.
        return
    lacks = [*missing_for_lift(hole)]
    if by is None and not lacks:
        return
    if by is not None and (by.curves.low.shut_off_ft is None or by.curves.high.shut_off_ft is None):
        lacks.append(f"{CURVE} at no flow")
    if rating is None or below_pipe(hole) is not None:
        lacks.append("rating of the pipe at the pump")
    if lacks or by is None or rating is None:
        yield cannot_say(NAME, ASPECT, "pipe at the pump", *lacks, source=HELD)
        return
    try:
        yield _compared(hole, by, component, rating)
    except ValueError:
        # No pump of this trade makes such a pressure: a slip of the pen.
        return


def _at_the_pump(hole: Hole) -> tuple[Component, Pipe] | None:
    sections = list(hole.parts(Pipe))
    return max(sections, key=lambda s: bottom_ft(hole, s[1]) or 0.0, default=None)


def _compared(hole: Hole, by: Lifter, component: Component, rating: float) -> Check:
    heads = Band(by.curves.low.shut_off_ft or 0.0, by.curves.high.shut_off_ft or 0.0)
    psi = Band(round(column_psi(heads.low)), round(column_psi(heads.high)))
    surely, possibly = over(psi.low, rating) > 0, over(psi.high, rating) > 0
    unsure = possibly and not surely
    pressure = f"{psi.high:g}" if psi.low == psi.high else f"{psi.low:g} to {psi.high:g}"
    says = f"{pressure} psi with its line shut, on pipe rated {figure(rating)} psi"
    return Check(
        rule=NAME,
        aspect=ASPECT,
        subject="pipe at the pump",
        verdict=Verdict.FAIL if surely else Verdict.CANNOT_SAY if unsure else Verdict.PASS,
        says=says + (f"; cannot say: missing {CURVE}" if unsure else ""),
        source=f"{by.source}; {HELD}",
        value=psi.low if surely else psi.high,
        limit=rating,
        unit="psi",
        missing=(CURVE,) if unsure else (),
        finding=_finding(hole, by, component, rating=rating, psi=psi, says=says)
        if surely
        else None,
    )


def _hangs_since(hole: Hole, component: Component) -> Span:
    """From when that section is the one at the pump: since the string hangs as it does."""
    places = [said_since(hole, c, "to_ft") for c, _ in hole.parts(Pipe)]
    own = [said_since(hole, component, name) for name in _SAID]
    return both(none_since(hole, Kind.PIPE), *places, *own)


def _finding(
    hole: Hole, by: Lifter, component: Component, *, rating: float, psi: Band, says: str
) -> Finding:
    deep = said_since(hole, by.component, "set_depth_ft")
    may, surely = both(by.since, deep, _hangs_since(hole, component))
    return Finding(
        rule=NAME,
        subject="pipe at the pump",
        occurrence=occurrence(NAME, "pump", by.component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=f"pump makes {says} ({by.rests_on})",
        action=(
            "at the next pull choose pipe rated for the pump's shut-off, or fit a relief valve; keep"
            " off the head when the line is shut and the pump runs"
        ),
        source=by.source,
        counts_from=by.component.uid,
        numbers={
            **by.numbers,
            "shut_off_low_psi": psi.low,
            "shut_off_high_psi": psi.high,
            "rating_psi": rating,
        },
    )


RULE = Rule(
    name=NAME,
    title="pump that makes more than its pipe holds",
    why=__doc__ or "",
    thresholds=(),
    checks=checks,
)
