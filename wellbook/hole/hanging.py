"""What hangs in the wells of a water system while its sheets are replayed.

It answers which parts a statement of a sheet speaks of, and holds what each step of the replay does
to a part: put it on record, say something of it, end it, bring it back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from wellbook.dates import When
from wellbook.errors import ReplayError
from wellbook.hole.claims import seen_again, there_by, told
from wellbook.hole.component import Absence, Component
from wellbook.hole.parts import PARTS
from wellbook.hole.places import APART, MANY, alike, describes, name_of, named, naming_fields
from wellbook.hole.records import Inspection
from wellbook.hole.said import PartSaid, Pulled
from wellbook.hole.sections import (
    begins_one,
    of_one_make,
    overlapping,
    place_of,
    section_at,
    spoken_of,
    top_down,
    what_stays,
)
from wellbook.hole.story import Recorded, Story, derived_uid
from wellbook.terms import OF_THE_SYSTEM, SECTIONED, FoundKind, Kind

Path = tuple[str, int]
"""Where a statement stands in its sheet: in which part of it, and which table there."""


class Hanging:
    """The parts that are down and those that are out, as far as the sheets have been played."""

    def __init__(self, joined: Mapping[str, int]) -> None:
        self.joined = joined
        """By well, since when it is at this system (see `Recorded.joined`)."""
        self.story = Story()
        self.down: list[Component] = []
        self.out: dict[tuple[str, Kind], list[Component]] = {}
        """What came out and may go back, by well and kind, in the order in which it came out."""
        self.emptied: dict[tuple[str, Kind], str] = {}
        """By well and kind, the sheet that took the last one out."""
        self.concluded: dict[str, str] = {}
        """By well, the pump that a visit left out without saying that it came out."""
        self.sealed: dict[str, str] = {}
        """By well, the sheet that sealed it."""
        self.spoken_of: set[str] = set()
        """The parts that a table of this part of the sheet has spoken of already."""
        self.touched: set[str] = set()
        """The parts of which this sheet says anything."""
        self.first_told: dict[str, int] = {}
        """When the sheet came into the book that first told of a part, by the part's uid."""

    def refuse(self, one: Recorded, what: str) -> ReplayError:
        return ReplayError(f"{one.name} {what}")

    def refuse_if_emptied(self, one: Recorded, kind: Kind, does: str) -> None:
        emptied = self.emptied.get(self.key(one, kind))
        if emptied:
            raise self.refuse(
                one,
                f"{does} a {kind.label}, but {emptied} pulled it and none was set since;"
                f" [back.{kind.value}] puts the same one back, [set.{kind.value}] another",
            )

    # -- which are spoken of -------------------------------------------------------------------

    def there(self, one: Recorded, kind: Kind) -> list[Component]:
        """The components of a kind that are down."""
        return [c for c in self.down if c.kind is kind and self._owned(one, c)]

    def _owned(self, one: Recorded, component: Component) -> bool:
        if component.well_uid == one.well_uid:
            return True
        # What was told of a well's tank before it shared one is told of its own.
        since = max(one.joined, self.joined[component.well_uid])
        return component.kind in OF_THE_SYSTEM and one.entered >= since

    def key(self, one: Recorded, kind: Kind) -> tuple[str, Kind]:
        shared = kind in OF_THE_SYSTEM and one.entered >= one.joined
        return ("" if shared else one.well_uid, kind)

    def which(self, one: Recorded, said: PartSaid | Pulled, path: Path) -> list[Component]:
        """Those of which a statement speaks; refused where it says something of one of several.

        A second table of a sheet is of a second tank, or of a second section.
        """
        kind, values = said.kind, said.values
        if kind in SECTIONED:
            return self._sections(one, said, path)
        there = named(self.there(one, kind), kind, values)
        if kind in MANY:
            there = [c for c in there if c.uid not in self.spoken_of]
        out = isinstance(said, Pulled) and kind in APART
        if len(there) > 1 and (out or describes(kind, values)):
            if not alike(there):
                raise self.refuse(one, f"speaks of {one_of(there)}")
            there = there[:1]
        return there

    def _sections(self, one: Recorded, said: PartSaid | Pulled, path: Path) -> list[Component]:
        there = top_down(self.there(one, said.kind))
        if isinstance(said, Pulled) and not begins_one(there, said.values):
            # What comes out is a stretch, through however many sections.
            return of_one_make(named(there, said.kind, said.values), said.values)
        alone = _alone(one, said, path)
        if not alone and place_of(said.values):
            there = [c for c in there if c.uid not in self.spoken_of]
        return spoken_of(there, said.values, alone=alone)

    # -- what a step does ----------------------------------------------------------------------

    def add(self, one: Recorded, said: PartSaid, set_on: When, path: Path) -> None:
        values = dict(said.values)
        part = PARTS[said.kind](**values)
        self.down.append(
            Component(
                uid=derived_uid(one.root_uid, *path),
                part=part,
                set_on=set_on,
                basis=said.basis,
                noted_on=one.sheet.known_by,
                set_by=one.root_uid,
                well_uid=one.well_uid,
            )
        )
        self.story.components.append(self.down[-1])
        self.spoken_of.add(self.down[-1].uid)
        self.touched.add(self.down[-1].uid)
        self.first_told[self.down[-1].uid] = one.entered
        self.emptied.pop(self.key(one, said.kind), None)

    def change(self, old: Component, new: Component) -> Component:
        self.story.components[self.story.components.index(old)] = new
        self.down[self.down.index(old)] = new
        return new

    def end(
        self, one: Recorded, old: Component, on: When, why: str, out: Pulled | None
    ) -> Component:
        new = replace(
            there_by(old, one.sheet.known_by),
            pulled_on=on,
            pulled_by=one.root_uid,
            why_pulled=why,
            cause=out.cause if out else None,
        )
        self.change(old, new)
        self.down.remove(new)
        return new

    def say(
        self,
        one: Recorded,
        old: Component,
        said: PartSaid | Pulled,
        values: Mapping[str, object],
        *,
        moved: bool = False,
    ) -> Component:
        """Add statements of a sheet on a part that is down."""
        on, by = one.sheet.known_by, one.root_uid
        new = told(old, values, said.basis, on, by, moved=moved)
        if moved:
            new = there_by(seen_again(new, said.basis, on, by), on)
        self.change(old, new)
        self.touched.add(new.uid)
        return new

    def known_as(self, one: Recorded, old: Component, path: Path) -> Component:
        """A part keeps the name it had in the book before an older sheet turned up that has it too.

        Findings that were silenced or put off are of that name.
        """
        if self.first_told.get(old.uid, 0) <= one.entered:
            return old
        new = replace(old, uid=derived_uid(one.root_uid, *path))
        self.change(old, new)
        self.first_told[new.uid] = one.entered
        self.story.inspections = [
            (well, replace(i, component_uid=new.uid) if i.component_uid == old.uid else i)
            for well, i in self.story.inspections
        ]
        return new

    def leave_rest(
        self, one: Recorded, old: Component, new: Mapping[str, object], path: Path
    ) -> None:
        """Only a stretch of a section came out: what is above and below it hangs on."""
        for n, rest in enumerate(what_stays(old.part, new)):
            uid = derived_uid(old.uid, one.root_uid, *path, n)
            stays = replace(old, uid=uid, part=rest, cut_on=one.sheet.start)
            self.down.append(stays)
            self.story.components.append(stays)

    def bring_back(self, one: Recorded, old: Component) -> Component:
        assert old.pulled_on is not None
        away = Absence(
            out_on=old.pulled_on.latest or one.sheet.start,
            back_on=one.sheet.start,
            pulled_by=old.pulled_by or "",
            back_by=one.root_uid,
            why=old.why_pulled,
            cause=old.cause,
        )
        return self.as_if_never_out(replace(old, absences=(*old.absences, away)), old)

    def as_if_never_out(self, new: Component, old: Component | None = None) -> Component:
        """Put a part down again, in place of what the story has of it."""
        there = replace(new, pulled_on=None, pulled_by=None, why_pulled="", cause=None)
        self.story.components[self.story.components.index(old or new)] = there
        self.down.append(there)
        return there

    # -- the sheet as a whole ------------------------------------------------------------------

    def check_runs(self, one: Recorded) -> None:
        """Two sections cannot hang in one stretch; what older sheets say of them is left alone."""
        for kind in SECTIONED:
            for upper, lower in overlapping(self.there(one, kind)):
                if self.touched & {upper.uid, lower.uid}:
                    raise self.refuse(
                        one,
                        f"puts two sections of {kind.label} in one stretch"
                        f" ({name_of(upper.part)}; {name_of(lower.part)});"
                        " say of each where it begins and ends: from_ft, to_ft",
                    )

    def inspect(self, one: Recorded, before: list[Component]) -> None:
        """Count splices and rubs by section: those found on what hung there, those added on what
        hangs there now."""
        now = self.there(one, Kind.CABLE)
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


def _alone(one: Recorded, said: PartSaid | Pulled, path: Path) -> bool:
    """Whether it is the only table of its kind in its part of the sheet."""
    return sum(other.kind is said.kind for other in getattr(one.sheet, path[0])) == 1


def one_of(there: list[Component], came_out: str = "") -> str:
    """What a refusal says where one of several parts has to be named, and how to name it."""
    kind = there[0].kind
    names = ", or ".join(dict.fromkeys(name_of(c.part) for c in there))
    where = f"under [{came_out}.{kind.value}] " if came_out else ""
    what = "say which came out" if came_out else "say which one"
    return (
        f"one of {len(there)} {kind.label}s; {what} {where}by its {naming_fields(kind)} ({names})"
    )
