"""The string is worked out from the sheets: replay them in the order of their dates.

A late slip of paper, a correction, a withdrawal and the merging of two books are one mechanism:
change the set of valid sheets and replay. Where a sheet makes no sense after those before it, the
replay is refused and the sheet is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from wellbook.dates import When
from wellbook.errors import ReplayError
from wellbook.hole.parts import PARTS
from wellbook.hole.places import (
    APART,
    MANY,
    alike,
    another,
    describes,
    name_of,
    named,
    naming_fields,
    place_of,
    section_at,
    what_stays,
)
from wellbook.hole.records import (
    PLACES,
    Absence,
    Claim,
    Component,
    Inspection,
)
from wellbook.hole.said import PartSaid, Pulled
from wellbook.hole.story import Recorded, Story, derived_uid, tell
from wellbook.terms import (
    OF_THE_SYSTEM,
    SECTIONED,
    Basis,
    FoundKind,
    Kind,
    Reason,
)


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
        self.out: dict[tuple[str, Kind], list[Component]] = {}
        self.spoken_of: set[str] = set()
        self.sealed: dict[str, str] = {}

    # -- one sheet -----------------------------------------------------------------------------

    def play(self, one: Recorded) -> None:
        sheet = one.sheet
        if one.well_uid in self.sealed and (sheet.set or sheet.back):
            raise self._refuse(
                one, f"puts parts into a well that {self.sealed[one.well_uid]} sealed"
            )
        self.spoken_of.clear()
        for n, said in enumerate(sheet.down):
            self._seen(one, said, ("down", n))
        tell(self.story, one)
        hung_there = self._there(one, Kind.CABLE)
        self.spoken_of.clear()
        for n, out in enumerate(sheet.pulled):
            self._pull(one, out, ("pulled", n))
        self.spoken_of.clear()
        for n, said in enumerate(sheet.back):
            self._back(one, said, ("back", n))
        for n, said in enumerate(sheet.set):
            self._set(one, said, ("set", n))
        self._inspect(one, hung_there)
        if sheet.reason is Reason.DECOMMISSIONING:
            self._seal(one)

    def _refuse(self, one: Recorded, what: str) -> ReplayError:
        return ReplayError(f"{one.name} {what}")

    def _there(self, one: Recorded, kind: Kind) -> list[Component]:
        """The components of a kind that are down."""
        return [c for c in self.down if c.kind is kind and self._owned(one, c)]

    def _which(self, one: Recorded, said: PartSaid | Pulled) -> list[Component]:
        """Those of which a statement speaks; refused where it says something of one of several.

        A second table of a sheet is of a second tank. An unnamed pipe is the whole pipe: a section
        is no thing by itself.
        """
        kind, values = said.kind, said.values
        there = named(self._there(one, kind), kind, values)
        if kind in MANY and kind not in SECTIONED:
            there = [c for c in there if c.uid not in self.spoken_of]
        out = isinstance(said, Pulled) and kind in APART
        if len(there) > 1 and (out or (kind not in SECTIONED and describes(kind, values))):
            if not alike(there):
                raise self._refuse(one, f"speaks of {_one_of(there)}")
            there = there[:1]
        return there

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
        self.spoken_of.add(self.down[-1].uid)
        self.emptied.pop(self._key(one, said.kind), None)

    def _change(self, old: Component, new: Component) -> None:
        self.story.components[self.story.components.index(old)] = new
        self.down[self.down.index(old)] = new

    def _end(
        self, one: Recorded, old: Component, on: When, why: str, out: Pulled | None
    ) -> Component:
        new = replace(
            old,
            pulled_on=on,
            pulled_by=one.root_uid,
            why_pulled=why,
            cause=out.cause if out else None,
        )
        self._change(old, new)
        self.down.remove(new)
        return new

    def _set(self, one: Recorded, said: PartSaid, path: tuple[object, ...]) -> None:
        set_on = said.set_on or When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        self._make_room(one, said, set_on, path)
        self.out.pop(self._key(one, said.kind), None)
        self._add(one, said, set_on, path)

    def _make_room(self, one: Recorded, said: PartSaid, on: When, path: tuple[object, ...]) -> None:
        """End what the new part takes the place of, though nobody wrote that it was pulled."""
        this_sheet = {derived_uid(one.root_uid, *path[:-1], n) for n in range(len(one.sheet.set))}
        old_ones = [c for c in self._in_the_way(one, said) if c.uid not in this_sheet]
        if len(old_ones) > 1 and said.kind not in SECTIONED and not alike(old_ones):
            raise self._refuse(
                one, f"sets a {said.kind.label} in the place of {_one_of(old_ones, 'pulled')}"
            )
        for old in old_ones:
            self._end(one, old, on, "replaced", None)
            self._leave_rest(one, old, said.values, path)

    def _in_the_way(self, one: Recorded, said: PartSaid) -> list[Component]:
        there = self._there(one, said.kind)
        if said.kind not in APART:
            return named(there, said.kind, said.values)
        if any(out.kind is said.kind for out in one.sheet.pulled):
            # Room was made by what the sheet says came out.
            return []
        stays = self.spoken_of if any(b.kind is said.kind for b in one.sheet.back) else set()
        return [c for c in there if c.uid not in stays and not another(c.part, said.values)]

    def _leave_rest(
        self, one: Recorded, old: Component, new: Mapping[str, object], path: tuple[object, ...]
    ) -> None:
        """Only a stretch of a section came out: what is above and below it hangs on."""
        for n, rest in enumerate(what_stays(old.part, new)):
            uid = derived_uid(old.uid, one.root_uid, *path, n)
            stays = replace(old, uid=uid, part=rest, cut_on=one.sheet.start)
            self.down.append(stays)
            self.story.components.append(stays)

    def _pull(self, one: Recorded, out: Pulled, path: tuple[object, ...]) -> None:
        on = When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        there = self._which(one, out) or [self._never_noted(one, out, path)]
        taken = self.out.setdefault(self._key(one, out.kind), [])
        for old in there:
            place = place_of(out.values)
            described = {n: v for n, v in out.values.items() if n not in place}
            merged = self._merge(one, old, described, out.basis)
            taken.append(self._end(one, merged, on, out.why, out))
            self._leave_rest(one, merged, out.values, path)
        if not self._there(one, out.kind):
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
                one,
                f"{does} a {kind.label}, but {emptied} pulled it and none was set since;"
                f" [back.{kind.value}] puts the same one back, [set.{kind.value}] another",
            )

    def _back(self, one: Recorded, said: PartSaid, path: tuple[object, ...]) -> None:
        """The same part went back down: it is no new one, but what was seen of it counts.

        It may have been out since an earlier visit: in store for the winter, or away for repair.
        """
        there = self._which(one, said) or self._returned(one, said)
        if not there:
            self._add(one, said, said.set_on or When.between(None, one.sheet.start), path)
            return
        for old in there:
            self.spoken_of.add(old.uid)
            self._merge(one, old, said.values, said.basis, moved=True)

    def _returned(self, one: Recorded, said: PartSaid) -> list[Component]:
        """What was pulled at earlier visits and goes back down now, with all its history."""
        key = self._key(one, said.kind)
        out = named(self.out.get(key, []), said.kind, said.values)
        if out and said.kind not in MANY:
            out = out[-1:]
        if out and not place_of(said.values) and self._there(one, said.kind):
            # Nothing names it, and there is a string without it: it was not missed.
            return []
        for old in out:
            self.out[key].remove(old)
            self.emptied.pop(key, None)
        return [self._return(one, old) for old in out]

    def _return(self, one: Recorded, old: Component) -> Component:
        assert old.pulled_on is not None
        away = Absence(
            out_on=old.pulled_on.latest or one.sheet.start,
            back_on=one.sheet.start,
            pulled_by=old.pulled_by or "",
            back_by=one.root_uid,
            why=old.why_pulled,
            cause=old.cause,
        )
        new = replace(
            old,
            pulled_on=None,
            pulled_by=None,
            why_pulled="",
            cause=None,
            absences=(*old.absences, away),
        )
        self.story.components[self.story.components.index(old)] = new
        self.down.append(new)
        return new

    def _seen(self, one: Recorded, said: PartSaid, path: tuple[object, ...]) -> None:
        """What is said to be down there: it describes the one on record, or puts one on record."""
        there = self._which(one, said)
        if not there:
            self._refuse_if_emptied(one, said.kind, "speaks of")
        for old in there:
            if _certainly_before(old.set_on, said.set_on):
                self._end(one, old, said.set_on or When.unknown(), "replaced", None)
                break
        else:
            for old in there:
                self.spoken_of.add(old.uid)
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

    # -- what was counted ------------------------------------------------------------------------

    def _inspect(self, one: Recorded, before: list[Component]) -> None:
        """Count splices and rubs by section: those found on what hung there, those added on what
        hangs there now."""
        now = self._there(one, Kind.CABLE)
        counts: dict[str, dict[FoundKind, int]] = {}
        for said in one.sheet.found:
            cable = section_at(before or now, said.depth_ft)
            if said.what in (FoundKind.SPLICE, FoundKind.RUB) and cable is not None:
                number = 1 if said.count is None else said.count
                seen = counts.setdefault(cable.uid, {})
                seen[said.what] = seen.get(said.what, 0) + number
        added: dict[str, int] = {}
        for part in (*one.sheet.back, *one.sheet.set):
            place = place_of(part.values)
            cable = section_at(now, place.get("from_ft"))
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


def _one_of(there: list[Component], came_out: str = "") -> str:
    """What a refusal says where one of several parts has to be named, and how to name it."""
    kind = there[0].kind
    names = ", or ".join(dict.fromkeys(name_of(c.part) for c in there))
    where = f"under [{came_out}.{kind.value}] " if came_out else ""
    what = "say which came out" if came_out else "say which one"
    return (
        f"one of {len(there)} {kind.label}s; {what} {where}by its {naming_fields(kind)} ({names})"
    )
