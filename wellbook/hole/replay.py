"""The string is worked out from the sheets: replay them in the order of their dates.

A late slip of paper, a correction, a withdrawal and the merging of two books are one mechanism:
change the set of valid sheets and replay. Where a sheet makes no sense after those before it, the
replay is refused and the sheet is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from wellbook.dates import When
from wellbook.hole.claims import another_since, seen_again, set_by, there_by, told_when_set
from wellbook.hole.component import Component
from wellbook.hole.hanging import Hanging, Path, one_of
from wellbook.hole.parts import Part
from wellbook.hole.places import APART, MANY, alike, another, named
from wellbook.hole.said import PartSaid, Pulled
from wellbook.hole.sections import made_alike, place_of, stretch, top_down
from wellbook.hole.story import Recorded, Story, derived_uid, tell
from wellbook.terms import SECTIONED, Kind, PumpType, Reason, SheetKind

NOT_PUT_BACK = "not put back"
"""Why a section is out that hung below the end at which the rest of its run went back."""


def replay(recorded: Iterable[Recorded]) -> Story:
    """Work out components, readings and findings from all valid sheets of one water system.

    Raises
    ------
    ReplayError
        Naming the sheet that does not fit those before it.
    """
    sheets = sorted(recorded, key=lambda r: r.place)
    player = _Player({one.well_uid: one.joined for one in sheets})
    for one in sheets:
        player.play(one)
    return player.story


class _Player(Hanging):
    """Plays one sheet after the other: what was seen, taken out, put back and set."""

    def play(self, one: Recorded) -> None:
        """Play one sheet on what the sheets before it came to."""
        sheet = one.sheet
        if one.well_uid in self.sealed and (sheet.set or sheet.back):
            raise self.refuse(
                one,
                f"puts parts into a well that {self.sealed[one.well_uid]} sealed; if it was opened"
                " again, say so first: wellbook well edit WELL --status in_use",
            )
        self.spoken_of.clear()
        self.touched.clear()
        for n, said in enumerate(sheet.down):
            self._seen(one, said, ("down", n))
        tell(self.story, one)
        hung_there = self.there(one, Kind.CABLE)
        self._take_out(one)
        self.spoken_of.clear()
        for n, said in enumerate(sheet.back):
            self._back(one, said, ("back", n))
        for n, said in enumerate(sheet.set):
            self._set(one, said, ("set", n))
        self.check_runs(one)
        self.inspect(one, hung_there)
        if sheet.reason is Reason.DECOMMISSIONING and not one.reopened:
            self.sealed[one.well_uid] = one.name

    def _take_out(self, one: Recorded) -> None:
        self.spoken_of.clear()
        for n, out in enumerate(one.sheet.pulled):
            self._pull(one, out, ("pulled", n))
        # A well that a visit left without its pump lost it at that visit, if not before.
        left = one.sheet.left_without_pump and one.sheet.kind is not SheetKind.CALL
        if left and self.there(one, Kind.PUMP):
            self._pull(one, Pulled(Kind.PUMP, {}, one.sheet.basis), ("left_without_pump", 0))
            self.concluded[one.well_uid] = self.out[self.key(one, Kind.PUMP)][-1].uid
            del self.emptied[self.key(one, Kind.PUMP)]

    def _taken_up(self, one: Recorded, said: PartSaid | Pulled) -> list[Component]:
        """The pump that was only concluded to be out, where a later sheet speaks of it outright."""
        if said.kind is not Kind.PUMP:
            return []
        out, uid = (
            self.out.get(self.key(one, Kind.PUMP), []),
            self.concluded.pop(one.well_uid, None),
        )
        known = [c for c in out if c.uid == uid]
        for old in known:
            out.remove(old)
        if isinstance(said, Pulled):
            return [self.as_if_never_out(old) for old in known]
        return [self.bring_back(one, old) for old in known]

    # -- in and out ----------------------------------------------------------------------------

    def _set(self, one: Recorded, said: PartSaid, path: Path) -> None:
        set_on = said.set_on
        if set_on is None or not set_on.known:
            set_on = When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        self._make_room(one, said, set_on, path)
        self.out.pop(self.key(one, said.kind), None)
        if said.kind is Kind.PUMP and not _speaks_of_motor(one):
            self.out.pop(self.key(one, Kind.MOTOR), None)
        self.add(one, said, set_on, path)

    def _make_room(self, one: Recorded, said: PartSaid, on: When, path: Path) -> None:
        """End what the new part takes the place of, though nobody wrote that it was pulled."""
        this_sheet = {derived_uid(one.root_uid, *path[:-1], n) for n in range(len(one.sheet.set))}
        old_ones = [c for c in self._in_the_way(one, said) if c.uid not in this_sheet]
        if len(old_ones) > 1 and said.kind not in SECTIONED and not alike(old_ones):
            raise self.refuse(
                one, f"sets a {said.kind.label} in the place of {one_of(old_ones, 'pulled')}"
            )
        for old in old_ones:
            self.end(one, old, on, "replaced", None)
            self.leave_rest(one, old, said.values, path)
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
        return [self.end(one, motor, on, why, out) for motor in self.there(one, Kind.MOTOR)]

    def _in_the_way(self, one: Recorded, said: PartSaid) -> list[Component]:
        there = self.there(one, said.kind)
        if said.kind not in APART:
            return named(there, said.kind, said.values)
        if any(out.kind is said.kind for out in one.sheet.pulled):
            # Room was made by what the sheet says came out.
            return []
        stays = self.spoken_of if any(b.kind is said.kind for b in one.sheet.back) else set()
        return [c for c in there if c.uid not in stays and not another(c.part, said.values)]

    def _pull(self, one: Recorded, out: Pulled, path: Path) -> None:
        on = When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        there = self.which(one, out, path) or self._taken_up(one, out)
        there = there or [self._never_noted(one, out, path)]
        taken = self.out.setdefault(self.key(one, out.kind), [])
        for old in there:
            place = place_of(out.values)
            described = {n: v for n, v in out.values.items() if n not in place}
            merged = self.say(one, old, out, described)
            if len(there) == 1:
                merged = self.known_as(one, merged, path)
            taken.append(self.end(one, merged, on, out.why, out))
            self.leave_rest(one, merged, out.values, path)
        if not self.there(one, out.kind):
            self.emptied[self.key(one, out.kind)] = one.name
        if out.kind is Kind.PUMP:
            motors = self._motor_too(one, [c.part for c in there], on, out.why, out)
            self.out.setdefault(self.key(one, Kind.MOTOR), []).extend(motors)

    def _never_noted(self, one: Recorded, out: Pulled, path: Path) -> Component:
        """What is pulled was never written down: it goes on record as it comes out."""
        self.refuse_if_emptied(one, out.kind, "pulls")
        said = PartSaid(out.kind, out.values, out.basis)
        self.add(one, said, set_by(out.set_on, one.sheet.known_by), path)
        return self.down[-1]

    def _back(self, one: Recorded, said: PartSaid, path: Path) -> None:
        """The same part went back down: it is no new one, but what was seen of it counts.

        It may have been out since an earlier visit: in store for the winter, or away for repair.
        """
        there = self.which(one, said, path) or self._returned(one, said)
        if not there:
            self.add(one, said, set_by(said.set_on, one.sheet.known_by), path)
            return
        if len(there) > 1 and said.kind in SECTIONED:
            self._lay(one, said, top_down(there))
            return
        for old in there:
            new = self.known_as(one, old, path) if len(there) == 1 else old
            self.spoken_of.add(new.uid)
            self.say(one, new, said, said.values, moved=True)

    def _lay(self, one: Recorded, said: PartSaid, run: list[Component]) -> None:
        """A run of several sections went back: where it ends now is where its lowest one ends."""
        place = place_of(said.values)
        values = {n: v for n, v in said.values.items() if n not in place}
        end = place.get("to_ft")
        kept = [c for c in run if end is None or stretch(c.part)[0] < end] or run[:1]
        on = When.between(one.sheet.start, one.sheet.end or one.sheet.start)
        out = self.out.setdefault(self.key(one, said.kind), [])
        out += [self.end(one, old, on, NOT_PUT_BACK, None) for old in run if old not in kept]
        lowest = kept[-1]
        ends = getattr(lowest.part, "to_ft", None)
        if end is not None and ends is not None and end > ends and not made_alike(kept):
            raise self.refuse(
                one,
                f"puts the {said.kind.label} back to {end:g} ft, {end - ends:g} ft deeper than its"
                f" sections on record; say by its from_ft which is longer, or set the new one:"
                f" [set.{said.kind.value}]",
            )
        for old in kept:
            self.spoken_of.add(old.uid)
            here = {"to_ft": end} if old is lowest and end is not None else {}
            self.say(one, old, said, {**values, **here}, moved=True)

    def _returned(self, one: Recorded, said: PartSaid) -> list[Component]:
        """What was pulled at earlier visits and goes back down now, with all its history."""
        key = self.key(one, said.kind)
        out = named(self.out.get(key, []), said.kind, said.values)
        if out and said.kind not in MANY:
            out = out[-1:]
        if "from_ft" not in said.values:
            # What was cut off goes back only where it is named.
            out = [c for c in out if c.why_pulled != NOT_PUT_BACK]
        if out and not place_of(said.values) and self.there(one, said.kind):
            # Nothing names it, and there is a string without it: it was not missed.
            return []
        for old in out:
            self.out[key].remove(old)
            self.emptied.pop(key, None)
        motors = [m for old in out for m in self._motor_of(one, old)]
        for motor in motors:
            self.out[self.key(one, Kind.MOTOR)].remove(motor)
            self.bring_back(one, motor)
        return [self.bring_back(one, old) for old in out]

    def _motor_of(self, one: Recorded, pump: Component) -> list[Component]:
        """The motor that came out with a pump, and goes back with it."""
        if pump.kind is not Kind.PUMP or _speaks_of_motor(one, "back", "set"):
            return []
        out = self.out.get(self.key(one, Kind.MOTOR), [])
        return [m for m in out if m.pulled_by == pump.pulled_by]

    def _seen(self, one: Recorded, said: PartSaid, path: Path) -> None:
        """What is said to be down there: it describes the one on record, or puts one on record."""
        there = self.which(one, said, path) or self._taken_up(one, said)
        if not there and one.sheet.kind is not SheetKind.CALL:
            # A caller may tell of what somebody else has put in since.
            self.refuse_if_emptied(one, said.kind, "speaks of")
        gone = [c for c in there if another_since(c, said.set_on, said.basis)]
        since = said.set_on or When.unknown()
        for old in gone:
            self.end(one, old, since, "replaced", None)
            if old.kind is Kind.PUMP:
                self._motor_too(one, [old.part], since)
        if gone or not there:
            self.add(one, said, set_by(said.set_on, one.sheet.known_by), path)
            return
        if len(there) == 1:
            there = [self.known_as(one, there[0], path)]
        on, by = one.sheet.known_by, one.root_uid
        for old, values in list(self._of_each(one, said, there)):
            self.spoken_of.add(old.uid)
            new = self.say(one, old, said, values)
            if one.sheet.kind is not SheetKind.CALL:
                new = self.change(new, there_by(new, on))
            dated = seen_again(new, said.basis, on, by)
            self.change(new, told_when_set(dated, said.set_on, said.basis, on, by))

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
        known = lowest.fact("to_ft")
        counts = known is None or said.basis.rank <= known.basis.rank
        if end is not None and counts and end <= stretch(lowest.part)[0]:
            raise self.refuse(
                one,
                f"has the {said.kind.label} end at {end:g} ft, but a section of it begins at"
                f" {stretch(lowest.part)[0]:g} ft; say what came out ([pulled.{said.kind.value}]),"
                " or name the section by its from_ft",
            )
        for c in there:
            yield c, {**rest, "to_ft": end} if c is lowest and end is not None else rest


_BELOW_ITS_PUMP = (PumpType.SUBMERSIBLE, None)
"""The types of pump whose motor hangs with them; of an unknown one it is taken to."""


def _speaks_of_motor(one: Recorded, *parts: str) -> bool:
    """Whether a sheet tells what became of the motor, so that nothing is to be concluded."""
    said = [s for name in parts or ("pulled", "back", "set") for s in getattr(one.sheet, name)]
    return any(s.kind is Kind.MOTOR for s in said)
