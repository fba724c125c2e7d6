"""The string is worked out from the sheets: replay them in the order of their dates.

A late slip of paper, a correction, a withdrawal and the merging of two books are one mechanism:
change the set of valid sheets and replay. Where a sheet makes no sense after those before it, the
replay is refused and the sheet is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from wellbook.dates import When
from wellbook.errors import ReplayError
from wellbook.hole.claims import another_since, seen_again, told, told_when_set
from wellbook.hole.parts import PARTS, Part
from wellbook.hole.places import (
    APART,
    MANY,
    alike,
    another,
    describes,
    name_of,
    named,
    naming_fields,
)
from wellbook.hole.records import Absence, Component, Inspection
from wellbook.hole.said import PartSaid, Pulled
from wellbook.hole.sections import (
    made_alike,
    of_one_make,
    overlapping,
    place_of,
    section_at,
    spoken_of,
    stretch,
    top_down,
    what_stays,
)
from wellbook.hole.story import Recorded, Story, derived_uid, tell
from wellbook.terms import (
    OF_THE_SYSTEM,
    SECTIONED,
    FoundKind,
    Kind,
    PumpType,
    Reason,
    SheetKind,
)

Path = tuple[str, int]
"""Where a statement stands in its sheet: in which part of it, and which table there."""

NOT_PUT_BACK = "not put back"
"""Why a section is out that hung below the end at which the rest of its run went back."""


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
        self.touched: set[str] = set()
        self.first_told: dict[str, int] = {}
        self.sealed: dict[str, str] = {}

    # -- one sheet -----------------------------------------------------------------------------

    def play(self, one: Recorded) -> None:
        sheet = one.sheet
        if one.well_uid in self.sealed and (sheet.set or sheet.back):
            raise self._refuse(
                one, f"puts parts into a well that {self.sealed[one.well_uid]} sealed"
            )
        self.spoken_of.clear()
        self.touched.clear()
        for n, said in enumerate(sheet.down):
            self._seen(one, said, ("down", n))
        tell(self.story, one)
        hung_there = self._there(one, Kind.CABLE)
        self._take_out(one)
        self.spoken_of.clear()
        for n, said in enumerate(sheet.back):
            self._back(one, said, ("back", n))
        for n, said in enumerate(sheet.set):
            self._set(one, said, ("set", n))
        self._check_runs(one)
        self._inspect(one, hung_there)
        if sheet.reason is Reason.DECOMMISSIONING:
            self._seal(one)

    def _take_out(self, one: Recorded) -> None:
        self.spoken_of.clear()
        for n, out in enumerate(one.sheet.pulled):
            self._pull(one, out, ("pulled", n))
        # A well that a visit left without its pump lost it at that visit, if not before.
        left = one.sheet.left_without_pump and one.sheet.kind is not SheetKind.CALL
        if left and self._there(one, Kind.PUMP):
            self._pull(one, Pulled(Kind.PUMP, {}, one.sheet.basis), ("left_without_pump", 0))

    def _check_runs(self, one: Recorded) -> None:
        """Two sections cannot hang in one stretch; what older sheets say of them is left alone."""
        for kind in SECTIONED:
            for upper, lower in overlapping(self._there(one, kind)):
                if self.touched & {upper.uid, lower.uid}:
                    raise self._refuse(
                        one,
                        f"puts two sections of {kind.label} in one stretch"
                        f" ({name_of(upper.part)}; {name_of(lower.part)});"
                        " say of each where it begins and ends: from_ft, to_ft",
                    )

    def _refuse(self, one: Recorded, what: str) -> ReplayError:
        return ReplayError(f"{one.name} {what}")

    def _there(self, one: Recorded, kind: Kind) -> list[Component]:
        """The components of a kind that are down."""
        return [c for c in self.down if c.kind is kind and self._owned(one, c)]

    def _which(self, one: Recorded, said: PartSaid | Pulled, path: Path) -> list[Component]:
        """Those of which a statement speaks; refused where it says something of one of several.

        A second table of a sheet is of a second tank, or of a second section.
        """
        kind, values = said.kind, said.values
        if kind in SECTIONED:
            return self._sections(one, said, path)
        there = named(self._there(one, kind), kind, values)
        if kind in MANY:
            there = [c for c in there if c.uid not in self.spoken_of]
        out = isinstance(said, Pulled) and kind in APART
        if len(there) > 1 and (out or describes(kind, values)):
            if not alike(there):
                raise self._refuse(one, f"speaks of {_one_of(there)}")
            there = there[:1]
        return there

    def _sections(self, one: Recorded, said: PartSaid | Pulled, path: Path) -> list[Component]:
        there = top_down(self._there(one, said.kind))
        if isinstance(said, Pulled):
            # What comes out is a stretch, through however many sections.
            return of_one_make(named(there, said.kind, said.values), said.values)
        alone = _alone(one, said, path)
        if not alone and place_of(said.values):
            there = [c for c in there if c.uid not in self.spoken_of]
        return spoken_of(there, said.values, alone=alone)

    def _owned(self, one: Recorded, component: Component) -> bool:
        return component.kind in OF_THE_SYSTEM or component.well_uid == one.well_uid

    def _key(self, one: Recorded, kind: Kind) -> tuple[str, Kind]:
        return ("" if kind in OF_THE_SYSTEM else one.well_uid, kind)

    # -- in and out ----------------------------------------------------------------------------

    def _add(self, one: Recorded, said: PartSaid, set_on: When, path: Path) -> None:
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
        self.touched.add(self.down[-1].uid)
        self.first_told[self.down[-1].uid] = one.entered
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

    def _tell(
        self,
        one: Recorded,
        old: Component,
        said: PartSaid | Pulled,
        values: Mapping[str, object],
        *,
        moved: bool = False,
    ) -> Component:
        """Add statements of a sheet on a part that is down."""
        on, by = one.sheet.start, one.root_uid
        new = told(old, values, said.basis, on, by, moved=moved)
        if moved:
            new = seen_again(new, said.basis, on, by)
        self._change(old, new)
        self.touched.add(new.uid)
        return new

    def _known_as(self, one: Recorded, old: Component, path: Path) -> Component:
        """A part keeps the name it had in the book before an older sheet turned up that has it too.

        Findings that were silenced or put off are of that name.
        """
        if self.first_told.get(old.uid, 0) <= one.entered:
            return old
        new = replace(old, uid=derived_uid(one.root_uid, *path))
        self._change(old, new)
        self.first_told[new.uid] = one.entered
        self.story.inspections = [
            (well, replace(i, component_uid=new.uid) if i.component_uid == old.uid else i)
            for well, i in self.story.inspections
        ]
        return new

    def _set(self, one: Recorded, said: PartSaid, path: Path) -> None:
        set_on = said.set_on or When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        self._make_room(one, said, set_on, path)
        self.out.pop(self._key(one, said.kind), None)
        if said.kind is Kind.PUMP and not _speaks_of_motor(one):
            self.out.pop(self._key(one, Kind.MOTOR), None)
        self._add(one, said, set_on, path)

    def _make_room(self, one: Recorded, said: PartSaid, on: When, path: Path) -> None:
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
        if said.kind is Kind.PUMP and old_ones:
            self._motor_too(one, [c.part for c in old_ones], on)

    def _motor_too(
        self,
        one: Recorded,
        pumps: list[Part],
        on: When,
        why: str = "replaced",
        out: Pulled | None = None,
    ) -> list[Component]:
        """A submersible's motor comes out with it, unless the sheet speaks of the motor itself."""
        surface = any(getattr(p, "type", None) not in _BELOW_ITS_PUMP for p in pumps)
        if surface or _speaks_of_motor(one):
            return []
        return [self._end(one, motor, on, why, out) for motor in self._there(one, Kind.MOTOR)]

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
        self, one: Recorded, old: Component, new: Mapping[str, object], path: Path
    ) -> None:
        """Only a stretch of a section came out: what is above and below it hangs on."""
        for n, rest in enumerate(what_stays(old.part, new)):
            uid = derived_uid(old.uid, one.root_uid, *path, n)
            stays = replace(old, uid=uid, part=rest, cut_on=one.sheet.start)
            self.down.append(stays)
            self.story.components.append(stays)

    def _pull(self, one: Recorded, out: Pulled, path: Path) -> None:
        on = When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        there = self._which(one, out, path) or [self._never_noted(one, out, path)]
        taken = self.out.setdefault(self._key(one, out.kind), [])
        for old in there:
            place = place_of(out.values)
            described = {n: v for n, v in out.values.items() if n not in place}
            merged = self._tell(one, old, out, described)
            if len(there) == 1:
                merged = self._known_as(one, merged, path)
            taken.append(self._end(one, merged, on, out.why, out))
            self._leave_rest(one, merged, out.values, path)
        if not self._there(one, out.kind):
            self.emptied[self._key(one, out.kind)] = one.name
        if out.kind is Kind.PUMP:
            motors = self._motor_too(one, [c.part for c in there], on, out.why, out)
            self.out.setdefault(self._key(one, Kind.MOTOR), []).extend(motors)

    def _never_noted(self, one: Recorded, out: Pulled, path: Path) -> Component:
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

    def _back(self, one: Recorded, said: PartSaid, path: Path) -> None:
        """The same part went back down: it is no new one, but what was seen of it counts.

        It may have been out since an earlier visit: in store for the winter, or away for repair.
        """
        there = self._which(one, said, path) or self._returned(one, said)
        if not there:
            self._add(one, said, said.set_on or When.between(None, one.sheet.start), path)
            return
        if len(there) > 1 and said.kind in SECTIONED:
            self._lay(one, said, top_down(there))
            return
        for old in there:
            new = self._known_as(one, old, path) if len(there) == 1 else old
            self.spoken_of.add(new.uid)
            self._tell(one, new, said, said.values, moved=True)

    def _lay(self, one: Recorded, said: PartSaid, run: list[Component]) -> None:
        """A run of several sections went back: where it ends now is where its lowest one ends."""
        place = place_of(said.values)
        values = {n: v for n, v in said.values.items() if n not in place}
        end = place.get("to_ft")
        kept = [c for c in run if end is None or stretch(c.part)[0] < end] or run[:1]
        on = When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        out = self.out.setdefault(self._key(one, said.kind), [])
        out += [self._end(one, old, on, NOT_PUT_BACK, None) for old in run if old not in kept]
        lowest = kept[-1]
        ends = getattr(lowest.part, "to_ft", None)
        if end is not None and ends is not None and end > ends and not made_alike(kept):
            raise self._refuse(
                one,
                f"puts the {said.kind.label} back to {end:g} ft, {end - ends:g} ft deeper than its"
                f" sections on record; say by its from_ft which is longer, or set the new one:"
                f" [set.{said.kind.value}]",
            )
        for old in kept:
            self.spoken_of.add(old.uid)
            here = {"to_ft": end} if old is lowest and end is not None else {}
            self._tell(one, old, said, {**values, **here}, moved=True)

    def _returned(self, one: Recorded, said: PartSaid) -> list[Component]:
        """What was pulled at earlier visits and goes back down now, with all its history."""
        key = self._key(one, said.kind)
        out = named(self.out.get(key, []), said.kind, said.values)
        if out and said.kind not in MANY:
            out = out[-1:]
        if "from_ft" not in said.values:
            # What was cut off goes back only where it is named.
            out = [c for c in out if c.why_pulled != NOT_PUT_BACK]
        if out and not place_of(said.values) and self._there(one, said.kind):
            # Nothing names it, and there is a string without it: it was not missed.
            return []
        for old in out:
            self.out[key].remove(old)
            self.emptied.pop(key, None)
        motors = [m for old in out for m in self._motor_of(one, old)]
        for motor in motors:
            self.out[self._key(one, Kind.MOTOR)].remove(motor)
            self._return(one, motor)
        return [self._return(one, old) for old in out]

    def _motor_of(self, one: Recorded, pump: Component) -> list[Component]:
        """The motor that came out with a pump, and goes back with it."""
        if pump.kind is not Kind.PUMP or _speaks_of_motor(one, "back", "set"):
            return []
        out = self.out.get(self._key(one, Kind.MOTOR), [])
        return [m for m in out if m.pulled_by == pump.pulled_by]

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

    def _seen(self, one: Recorded, said: PartSaid, path: Path) -> None:
        """What is said to be down there: it describes the one on record, or puts one on record."""
        there = self._which(one, said, path)
        if not there:
            self._refuse_if_emptied(one, said.kind, "speaks of")
        gone = [c for c in there if another_since(c, said.set_on, said.basis)]
        since = said.set_on or When.unknown()
        for old in gone:
            self._end(one, old, since, "replaced", None)
            if old.kind is Kind.PUMP:
                self._motor_too(one, [old.part], since)
        if gone or not there:
            self._add(one, said, said.set_on or When.between(None, one.sheet.start), path)
            return
        if len(there) == 1:
            there = [self._known_as(one, there[0], path)]
        on, by = one.sheet.start, one.root_uid
        for old, values in list(self._of_each(one, said, there)):
            self.spoken_of.add(old.uid)
            new = self._tell(one, old, said, values)
            dated = seen_again(new, said.basis, on, by)
            self._change(new, told_when_set(dated, said.set_on, said.basis, on, by))

    def _of_each(
        self, one: Recorded, said: PartSaid, there: list[Component]
    ) -> Iterator[tuple[Component, Mapping[str, object]]]:
        """What a statement says of each part: of a run, only the lowest section ends where it does."""
        if said.kind not in SECTIONED or len(there) == 1:
            yield from ((c, said.values) for c in there)
            return
        place = place_of(said.values)
        rest = {n: v for n, v in said.values.items() if n not in place}
        lowest, end = top_down(there)[-1], place.get("to_ft")
        if end is not None and end <= stretch(lowest.part)[0]:
            raise self._refuse(
                one,
                f"has the {said.kind.label} end at {end:g} ft, but a section of it begins at"
                f" {stretch(lowest.part)[0]:g} ft; say what came out ([pulled.{said.kind.value}]),"
                " or name the section by its from_ft",
            )
        for c in there:
            yield c, {**rest, "to_ft": end} if c is lowest and end is not None else rest

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


_BELOW_ITS_PUMP = (PumpType.SUBMERSIBLE, None)
"""The types of pump whose motor hangs with them; of an unknown one it is taken to."""


def _speaks_of_motor(one: Recorded, *parts: str) -> bool:
    """Whether a sheet tells what became of the motor, so that nothing is to be concluded."""
    said = [s for name in parts or ("pulled", "back", "set") for s in getattr(one.sheet, name)]
    return any(s.kind is Kind.MOTOR for s in said)


def _alone(one: Recorded, said: PartSaid, path: Path) -> bool:
    """Whether it is the only table of its kind in its part of the sheet."""
    return sum(other.kind is said.kind for other in getattr(one.sheet, path[0])) == 1


def _one_of(there: list[Component], came_out: str = "") -> str:
    """What a refusal says where one of several parts has to be named, and how to name it."""
    kind = there[0].kind
    names = ", or ".join(dict.fromkeys(name_of(c.part) for c in there))
    where = f"under [{came_out}.{kind.value}] " if came_out else ""
    what = "say which came out" if came_out else "say which one"
    return (
        f"one of {len(there)} {kind.label}s; {what} {where}by its {naming_fields(kind)} ({names})"
    )
