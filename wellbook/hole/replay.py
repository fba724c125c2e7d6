"""The string is worked out from the sheets: replay them in the order of their dates.

A late slip of paper, a correction, a withdrawal and the merging of two books are one mechanism:
change the set of valid sheets and replay. Where a sheet makes no sense after those before it, the
replay is refused and the sheet is named.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from typing import Any

from wellbook.dates import When
from wellbook.errors import ReplayError
from wellbook.hole.parts import PARTS, Part
from wellbook.hole.records import (
    PLACES,
    Claim,
    Component,
    Found,
    Inspection,
    Interval,
    Observation,
    Sample,
)
from wellbook.hole.sheet import PartSaid, Pulled, Sheet
from wellbook.terms import (
    OF_THE_SYSTEM,
    SECTIONED,
    SEVERAL,
    Basis,
    FoundKind,
    IntervalKind,
    Kind,
    Reason,
    SheetKind,
)

_NAMESPACE = uuid.UUID("5f0c4f0e-6f0b-5c55-9d0e-6a1f3b1d7c11")
_SAME_PLACE_FT = 1.0
_SHORTEST_REST_FT = 21.0
"""A joint: what would be left of a section and is shorter was not left; the new one ends higher."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """A valid sheet with its identity. A correction keeps the root of the sheet that it corrects,
    so that what was worked out from it keeps its identity too."""

    root_uid: str
    well_uid: str
    sheet: Sheet
    order: int = 0

    @property
    def place(self) -> tuple[date, int, int]:
        """Where it stands in the replay: by date, the opening record first, then as entered."""
        first = 0 if self.sheet.kind is SheetKind.OPENING else 1
        return (self.sheet.start, first, self.order)

    @property
    def name(self) -> str:
        """How a message names the sheet."""
        if self.sheet.kind is SheetKind.OPENING:
            return f"the opening record of {self.sheet.start}"
        return f"the {self.sheet.reason.label} {self.sheet.kind.label} of {self.sheet.start}"


@dataclass(slots=True)
class Story:
    """What the sheets of one water system come to."""

    components: list[Component] = field(default_factory=list)
    observations: list[tuple[str, Observation]] = field(default_factory=list)
    intervals: list[tuple[str, Interval]] = field(default_factory=list)
    inspections: list[tuple[str, Inspection]] = field(default_factory=list)
    found: list[tuple[str, Found]] = field(default_factory=list)
    samples: list[tuple[str, Sample]] = field(default_factory=list)


def derived_uid(root_uid: str, *path: object) -> str:
    """The identity of a row that follows from a sheet: the same after every replay.

    >>> derived_uid("a", "set", 0) == derived_uid("a", "set", 0)
    True
    """
    return uuid.uuid5(_NAMESPACE, "/".join(map(str, (root_uid, *path)))).hex


def replay(recorded: Iterable[Recorded]) -> Story:
    """Work out components, readings and findings from all valid sheets of one water system.

    Raises
    ------
    ReplayError
        Naming the sheet that does not fit those before it.
    """
    player = _Player()
    for one in sorted(recorded, key=lambda r: r.place):
        player.play(one)
    return player.story


class _Player:
    def __init__(self) -> None:
        self.story = Story()
        self.down: list[Component] = []
        self.emptied: dict[tuple[str, Kind], str] = {}
        self.sealed: dict[str, str] = {}

    # -- one sheet -----------------------------------------------------------------------------

    def play(self, one: Recorded) -> None:
        sheet = one.sheet
        if one.well_uid in self.sealed and (sheet.set or sheet.back):
            raise self._refuse(
                one, f"puts parts into a well that {self.sealed[one.well_uid]} sealed"
            )
        for n, said in enumerate(sheet.down):
            self._seen(one, said, ("down", n))
        hung_there = self._found(one)
        for n, out in enumerate(sheet.pulled):
            self._pull(one, out, ("pulled", n))
        for n, said in enumerate(sheet.back):
            self._back(one, said, ("back", n))
        for n, said in enumerate(sheet.set):
            self._set(one, said, ("set", n))
        self._inspect(one, hung_there)
        self._readings(one)
        if sheet.reason is Reason.DECOMMISSIONING:
            self._seal(one)

    def _refuse(self, one: Recorded, what: str) -> ReplayError:
        return ReplayError(f"{one.name} {what}")

    def _there(self, one: Recorded, kind: Kind, want: Mapping[str, object]) -> list[Component]:
        """The components of a kind that are down, at the place that is named (all, if none is)."""
        mine = [c for c in self.down if c.kind is kind and self._owned(one, c)]
        return [c for c in mine if _at_the_place(c.part, want)]

    def _owned(self, one: Recorded, component: Component) -> bool:
        return component.kind in OF_THE_SYSTEM or component.well_uid == one.well_uid

    def _key(self, one: Recorded, kind: Kind) -> tuple[str, Kind]:
        return ("" if kind in OF_THE_SYSTEM else one.well_uid, kind)

    # -- in and out ----------------------------------------------------------------------------

    def _add(self, one: Recorded, said: PartSaid, set_on: When, path: tuple[object, ...]) -> None:
        values = dict(said.values)
        part = PARTS[said.kind](**values)
        self.down.append(
            Component(
                uid=derived_uid(one.root_uid, *path),
                part=part,
                set_on=set_on,
                basis=said.basis,
                noted_on=one.sheet.start,
                set_by=one.root_uid,
                well_uid=one.well_uid,
            )
        )
        self.story.components.append(self.down[-1])
        self.emptied.pop(self._key(one, said.kind), None)

    def _change(self, old: Component, new: Component) -> None:
        self.story.components[self.story.components.index(old)] = new
        self.down[self.down.index(old)] = new

    def _end(self, one: Recorded, old: Component, on: When, why: str, out: Pulled | None) -> None:
        new = replace(
            old,
            pulled_on=on,
            pulled_by=one.root_uid,
            why_pulled=why,
            cause=out.cause if out else None,
        )
        self._change(old, new)
        self.down.remove(new)

    def _set(self, one: Recorded, said: PartSaid, path: tuple[object, ...]) -> None:
        set_on = said.set_on or When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        self._make_room(one, said, set_on, path)
        self._add(one, said, set_on, path)

    def _make_room(self, one: Recorded, said: PartSaid, on: When, path: tuple[object, ...]) -> None:
        """End what the new part takes the place of, though nobody wrote that it was pulled."""
        this_sheet = {derived_uid(one.root_uid, *path[:-1], n) for n in range(len(one.sheet.set))}
        for old in self._there(one, said.kind, _place_of(said.values)):
            if old.uid in this_sheet:
                continue
            self._end(one, old, on, "replaced", None)
            self._leave_rest(one, old, said.values, path)

    def _leave_rest(
        self, one: Recorded, old: Component, new: Mapping[str, object], path: tuple[object, ...]
    ) -> None:
        """Only a stretch of a section came out: what is above and below it hangs on."""
        for n, rest in enumerate(_what_stays(old.part, new)):
            uid = derived_uid(old.uid, one.root_uid, *path, n)
            stays = replace(old, uid=uid, part=rest, cut_on=one.sheet.start)
            self.down.append(stays)
            self.story.components.append(stays)

    def _pull(self, one: Recorded, out: Pulled, path: tuple[object, ...]) -> None:
        on = When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        there = self._there(one, out.kind, _place_of(out.values))
        if not there:
            there = [self._never_noted(one, out, path)]
        for old in there:
            place = _place_of(out.values)
            described = {n: v for n, v in out.values.items() if n not in place}
            merged = self._merge(one, old, described, out.basis)
            self._end(one, merged, on, out.why, out)
            self._leave_rest(one, merged, out.values, path)
        if not self._there(one, out.kind, {}):
            self.emptied[self._key(one, out.kind)] = one.name

    def _never_noted(self, one: Recorded, out: Pulled, path: tuple[object, ...]) -> Component:
        """What is pulled was never written down: it goes on record as it comes out."""
        self._refuse_if_emptied(one, out.kind, "pulls")
        said = PartSaid(out.kind, out.values, out.basis)
        self._add(one, said, out.set_on or When.between(None, one.sheet.start), path)
        return self.down[-1]

    def _refuse_if_emptied(self, one: Recorded, kind: Kind, does: str) -> None:
        emptied = self.emptied.get(self._key(one, kind))
        if emptied:
            raise self._refuse(
                one, f"{does} a {kind.label}, but {emptied} pulled it and none was set since"
            )

    def _back(self, one: Recorded, said: PartSaid, path: tuple[object, ...]) -> None:
        """The same part went back down: it is no new one, but what was seen of it counts."""
        there = self._there(one, said.kind, _place_of(said.values) if said.kind in SEVERAL else {})
        if not there:
            self._refuse_if_emptied(one, said.kind, "puts back")
            self._add(one, said, said.set_on or When.between(None, one.sheet.start), path)
            return
        for old in there:
            self._merge(one, old, said.values, said.basis, moved=True)

    def _seen(self, one: Recorded, said: PartSaid, path: tuple[object, ...]) -> None:
        """What is said to be down there: it describes the one on record, or puts one on record."""
        place = _place_of(said.values) if said.kind in SEVERAL else {}
        there = self._there(one, said.kind, place)
        if not there and self._key(one, said.kind) in self.emptied:
            self._refuse_if_emptied(one, said.kind, "speaks of")
        for old in there:
            if _certainly_before(old.set_on, said.set_on):
                self._end(one, old, said.set_on or When.unknown(), "replaced", None)
                break
        else:
            for old in there:
                dated = _narrowed(old, said.set_on)
                self._change(old, dated)
                self._merge(one, dated, said.values, said.basis)
            if there:
                return
        self._add(one, said, said.set_on or When.between(None, one.sheet.start), path)

    def _merge(
        self,
        one: Recorded,
        old: Component,
        values: Mapping[str, object],
        basis: Basis,
        *,
        moved: bool = False,
    ) -> Component:
        """Add statements on a component: the better basis counts, of equals the newer.

        A part that went back down may hang elsewhere: then the new place counts in any case.
        """
        part, claims = old.part, old.claims
        for name, value in values.items():
            known = old.fact(name)
            if known is not None and known.value == value and known.basis.rank <= basis.rank:
                continue
            counts = known is None or basis.rank <= known.basis.rank
            counts = counts or (moved and name in PLACES)
            was = getattr(part, name)
            claim = Claim(name, value, basis, one.sheet.start, counts, one.root_uid, was)
            claims = (*claims, claim)
            if counts:
                part = replace(part, **{name: value})
        new = replace(old, part=part, claims=claims)
        self._change(old, new)
        return new

    def _seal(self, one: Recorded) -> None:
        self.sealed[one.well_uid] = one.name

    # -- what was found and read ---------------------------------------------------------------

    def _found(self, one: Recorded) -> list[Component]:
        """Record what was found; give the cables that hung there to be inspected."""
        for n, said in enumerate(one.sheet.found):
            uid = derived_uid(one.root_uid, "found", n)
            seen = Found(
                uid,
                one.sheet.start,
                said.what,
                said.part,
                said.depth_ft,
                said.count,
                said.severity,
                said.note,
                one.root_uid,
            )
            self.story.found.append((one.well_uid, seen))
        return self._there(one, Kind.CABLE, {})

    def _inspect(self, one: Recorded, before: list[Component]) -> None:
        """Count splices and rubs by section: those found on what hung there, those added on what
        hangs there now."""
        now = self._there(one, Kind.CABLE, {})
        counts: dict[str, dict[FoundKind, int]] = {}
        for said in one.sheet.found:
            cable = _section_at(before or now, said.depth_ft)
            if said.what in (FoundKind.SPLICE, FoundKind.RUB) and cable is not None:
                number = 1 if said.count is None else said.count
                seen = counts.setdefault(cable.uid, {})
                seen[said.what] = seen.get(said.what, 0) + number
        added: dict[str, int] = {}
        for part in (*one.sheet.back, *one.sheet.set):
            place = _place_of(part.values)
            cable = _section_at(now, place.get("from_ft"))
            if part.splices_added and cable is not None:
                added[cable.uid] = added.get(cable.uid, 0) + part.splices_added
        for n, uid in enumerate(dict.fromkeys((*counts, *added))):
            seen = counts.get(uid, {})
            row = Inspection(
                derived_uid(one.root_uid, "inspection", n),
                uid,
                one.sheet.start,
                seen.get(FoundKind.SPLICE),
                seen.get(FoundKind.RUB),
                added.get(uid, 0),
                one.root_uid,
            )
            self.story.inspections.append((one.well_uid, row))

    def _readings(self, one: Recorded) -> None:
        root, well, sheet = one.root_uid, one.well_uid, one.sheet
        for n, m in enumerate(sheet.measured):
            made = Observation(
                derived_uid(root, "measured", n),
                m.quantity,
                m.value,
                m.when,
                m.basis,
                m.point,
                m.state,
                m.method,
                m.at_gpm,
                m.minutes,
                root,
            )
            self.story.observations.append((well, made))
        for n, b in enumerate(sheet.bore):
            interval = Interval(
                derived_uid(root, "bore", n),
                b.kind,
                b.from_ft,
                b.to_ft,
                b.diameter_in,
                b.material,
                b.basis,
                When.on(sheet.start) if b.kind is IntervalKind.FRACTURED else _since(sheet),
                root,
            )
            self.story.intervals.append((well, interval))
        for n, s in enumerate(sheet.samples):
            sample = Sample(
                derived_uid(root, "sample", n),
                s.taken_on,
                s.bacteria,
                s.nitrate_mg_l,
                s.arsenic_mg_l,
                s.laboratory,
                s.note,
                root,
            )
            self.story.samples.append((well, sample))


def _since(sheet: Sheet) -> When:
    """A casing seen today was there before: only a new or deepened well has it from that day."""
    if sheet.reason in (Reason.NEW_WELL, Reason.DEEPENING):
        return When.on(sheet.start)
    return When.between(None, sheet.start)


def _place_of(values: Mapping[str, object]) -> dict[str, Any]:
    """What tells one of several apart: its depth, its stretch, or its type."""
    names = ("from_ft", "to_ft", "depth_ft")
    return {name: values[name] for name in names if name in values}


def _at_the_place(part: Part, want: Mapping[str, Any]) -> bool:
    if part.kind in SECTIONED:
        return not want or _overlap(part, want) > 0
    if part.kind is Kind.CHECK_VALVE and "depth_ft" in want:
        depth = getattr(part, "depth_ft", None)
        return depth is not None and abs(depth - want["depth_ft"]) <= _SAME_PLACE_FT
    return True


def _overlap(part: Part, want: Mapping[str, Any]) -> float:
    top, bottom = _stretch(part)
    want_top = want.get("from_ft") or 0.0
    want_bottom = want.get("to_ft")
    return min(bottom, want_bottom if want_bottom is not None else 1e9) - max(top, want_top)


def _stretch(part: Part) -> tuple[float, float]:
    top, bottom = getattr(part, "from_ft", None), getattr(part, "to_ft", None)
    return (top or 0.0, bottom if bottom is not None else 1e9)


def _section_at(cables: list[Component], depth_ft: float | None) -> Component | None:
    """The section that holds a depth; the first, where no depth is named or none holds it."""
    for cable in cables:
        top, bottom = _stretch(cable.part)
        if depth_ft is not None and top <= depth_ft < bottom:
            return cable
    return cables[0] if cables else None


def _what_stays(old: Part, new: Mapping[str, object]) -> Iterator[Part]:
    """The stretches of an old section that a new one does not take the place of."""
    if old.kind not in SECTIONED or not _place_of(new):
        return
    place: dict[str, Any] = _place_of(new)
    top, bottom = _stretch(old)
    new_top = place.get("from_ft") or 0.0
    new_bottom = place.get("to_ft")
    if new_top - top >= _SHORTEST_REST_FT:
        yield _trimmed(old, to_ft=new_top)
    if new_bottom is not None and bottom < 1e9 and bottom - new_bottom >= _SHORTEST_REST_FT:
        yield _trimmed(old, from_ft=new_bottom)


def _trimmed(part: Part, **changes: float) -> Part:
    known = {f.name for f in fields(part)}
    return replace(part, **{n: v for n, v in changes.items() if n in known})


def _certainly_before(old: When, new: When | None) -> bool:
    """Whether one setting certainly came before another: then they are two parts."""
    return (
        new is not None
        and old.latest is not None
        and new.earliest is not None
        and old.earliest is not None
        and old.latest < new.earliest
    )


def _narrowed(old: Component, set_on: When | None) -> Component:
    """Take a better date of setting where the one on record was open."""
    if set_on is None or not set_on.known or old.set_on.earliest is not None:
        return old
    return replace(old, set_on=set_on)
