"""What a sheet says beside what it set and pulled: found, seen, measured, and sampled, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from wellbook.hole.component import PLACES, SETTING, Claim
from wellbook.hole.describe import (
    claim_text,
    describe_found,
    describe_interval,
    field_text,
    number_text,
)
from wellbook.hole.hole import Hole
from wellbook.hole.records import Observation, Sample, Visit
from wellbook.present.lines import depth_text
from wellbook.present.reading_lines import result_texts
from wellbook.present.text import plural
from wellbook.quantities import show
from wellbook.terms import Quantity, Reason, SheetKind

_SEEN = {SheetKind.VISIT: "seen", SheetKind.CALL: "told", SheetKind.OPENING: "noted"}
_MEASURED = {SheetKind.VISIT: "measured", SheetKind.CALL: "told", SheetKind.OPENING: "noted"}


def sheet_details(hole: Hole, visit: Visit) -> Iterator[tuple[str, str]]:
    """What a sheet says was found, measured, seen of the bore and sampled: its word, and what."""
    for found in hole.found:
        if found.sheet_uid == visit.uid:
            yield "found", describe_found(found)
    # What stayed of a section that was cut later has all that was said of the whole.
    yield from dict.fromkeys(_of_parts(hole, visit))
    for one in hole.inspections:
        if one.sheet_uid == visit.uid and one.splices_added:
            yield "spliced", f"cable: {plural(one.splices_added, 'splice')} added"
    seen = [reading_of(o, visit) for o in hole.observations if o.sheet_uid == visit.uid]
    if seen:
        yield _MEASURED[visit.kind], "; ".join(seen)
    bore = [describe_interval(i) for i in hole.intervals if i.sheet_uid == visit.uid]
    if bore:
        yield "bore", "; ".join(bore)
    for sample in hole.samples:
        if sample.sheet_uid == visit.uid:
            yield "sampled", sample_of(sample, visit)
    if visit.disinfected and visit.reason is not Reason.DISINFECTION:
        yield "disinfected", "the well"


def _of_parts(hole: Hole, visit: Visit) -> Iterator[tuple[str, str]]:
    for component in hole.components:
        claims = [c for c in component.claims if c.sheet_uid == visit.uid]
        if claims:
            word = "put back" if visit.opened and any(map(_moved, claims)) else _SEEN[visit.kind]
            yield word, f"{component.kind.label}: {_said_of_part(claims)}"


def _moved(claim: Claim) -> bool:
    """Whether it says that a part hangs elsewhere than on record, and counts."""
    return claim.counts and claim.field in PLACES and claim.was not in (None, claim.value)


def _told(claim: Claim) -> str:
    was = f" (was {field_text(claim.field, claim.was)})" if _moved(claim) else ""
    return claim_text(claim) + was


def _said_of_part(claims: Sequence[Claim]) -> str:
    """What a sheet says of a part that was on record, and how much of it counts."""
    told = [_told(c) for c in claims if c.counts]
    told += ["the same one as before" for c in claims if _seen_again(c)]
    weaker = [claim_text(c) for c in claims if not c.counts and not _seen_again(c)]
    less = f"less sure than what is on record: {', '.join(weaker)}" if weaker else ""
    return "; ".join(p for p in (", ".join(told), less) if p)


def _seen_again(claim: Claim) -> bool:
    return claim.field == SETTING and claim.value == claim.was


def reading_of(seen: Observation, visit: Visit | None) -> str:
    """One reading with all that was noted of it; its date only where the sheet's is another."""
    level = seen.quantity is Quantity.WATER_LEVEL_FT
    name = seen.quantity.label
    if level:
        name = seen.state.label if seen.state else "level"
    deep = level or seen.quantity in (Quantity.DEPTH_FT, Quantity.STALL_LEVEL_FT)
    fact = seen.fact()
    value = "" if seen.value is None else number_text(fact)
    said = [
        f"{name} {depth_text(fact) if deep and value else value}".strip(),
        fact.own_method,
        "" if seen.at_gpm is None else f"at {show(seen.at_gpm, 'gpm')}",
        "" if seen.minutes is None else f"{show(seen.minutes, '')} min",
    ]
    return ", ".join(p for p in said if p) + _as_of(seen, visit)


def _as_of(seen: Observation, visit: Visit | None) -> str:
    """The mark of a basis and a date that are not those of the sheet."""
    if visit is None:
        return f" ({seen.basis.mark})"
    own = seen.when.earliest is None or not visit.start <= seen.when.earliest <= _last_day(visit)
    mark = seen.basis.mark if seen.basis.mark != visit.kind.basis.mark else ""
    noted = " ".join(p for p in (mark, str(seen.when) if own else "") if p)
    return f" ({noted})" if noted else ""


def _last_day(visit: Visit) -> date:
    return visit.end or date.max


def sample_of(sample: Sample, visit: Visit | None) -> str:
    """A water sample: what came of it, by which laboratory."""
    said = [", ".join(result_texts(sample)) or "no result on record", sample.laboratory]
    if visit is not None and sample.taken_on.earliest != visit.start:
        said.append(f"taken {sample.taken_on}")
    return ", ".join(p for p in said if p) + (f": {sample.note}" if sample.note else "")
