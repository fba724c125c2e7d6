"""One well's record as frozen dataclasses: what the rules judge and the screen shows.

Nothing here knows where it was loaded from, and nothing reads a clock.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeVar, cast

from wellbook.dates import When
from wellbook.hole.parts import Part
from wellbook.terms import (
    CHANGING,
    NEW_BOTTOM,
    OF_THE_SYSTEM,
    REWORKED,
    Bacteria,
    Basis,
    Cause,
    Construction,
    ContactWay,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    Permission,
    Quantity,
    Reason,
    Role,
    Severity,
    SheetKind,
    WellStatus,
)

P = TypeVar("P", bound=Part)

SETTING = "set_on"
"""The name under which claims on the day of a part's setting are kept, beside those on its fields."""

OVER_THE_SCALE = "over the meter's scale"
"""How a reading begins its method where the meter's needle stood past the last mark."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A value with what it rests on. `value` is None where only a state is known (dry, flowing)."""

    value: object
    unit: str
    basis: Basis
    as_of: When
    point: MeasuringPoint | None = None
    state: LevelState | None = None
    method: str = ""
    record: str = ""

    @property
    def number(self) -> float:
        """The value where it is known to be a number."""
        return float(cast(float, self.value))

    @property
    def at_least(self) -> bool:
        """Whether the value is the end of the meter's scale, and the true one lies above it."""
        return self.method.startswith(OVER_THE_SCALE)


@dataclass(frozen=True, slots=True)
class Claim:
    """One more statement about a field of a component, beside the one that introduced it."""

    field: str
    value: object
    basis: Basis
    noted_on: date
    counts: bool
    sheet_uid: str
    was: object = None
    """What the field held before, where this statement took its place."""


@dataclass(frozen=True, slots=True)
class Absence:
    """A time that a part was out of the well and then went back: in store, or away for repair."""

    out_on: date
    back_on: date
    pulled_by: str
    back_by: str
    why: str = ""
    cause: Cause | None = None


@dataclass(frozen=True, slots=True)
class Component:
    """A part with its span in the well: when it was set, when pulled, and why."""

    uid: str
    part: Part
    set_on: When
    basis: Basis
    noted_on: date
    set_by: str
    pulled_on: When | None = None
    pulled_by: str | None = None
    why_pulled: str = ""
    cause: Cause | None = None
    claims: tuple[Claim, ...] = ()
    well_uid: str = ""
    cut_on: date | None = None
    """For what is left of a longer section: the day on which the rest was replaced."""
    absences: tuple[Absence, ...] = ()
    """The times it was out and went back, oldest first; it is the same part, as old as it is."""

    @property
    def kind(self) -> Kind:
        """The kind of its part."""
        return self.part.kind

    def fact(self, name: str, unit: str = "") -> Fact | None:
        """The value of one field with its own basis and date; None where it is not known."""
        value = getattr(self.part, name)
        if value is None:
            return None
        for claim in reversed(self.claims):
            if claim.field == name and claim.counts:
                return Fact(value, unit, claim.basis, When.on(claim.noted_on), record=self.uid)
        return Fact(value, unit, self.basis, When.on(self.noted_on), record=self.uid)

    @property
    def setting(self) -> Fact:
        """The day of its setting, with what it rests on."""
        for claim in reversed(self.claims):
            if claim.field == SETTING and claim.counts:
                noted = When.on(claim.noted_on)
                return Fact(self.set_on, "", claim.basis, noted, record=self.uid)
        return Fact(self.set_on, "", self.basis, When.on(self.noted_on), record=self.uid)

    @property
    def seen_on(self) -> date:
        """The last day on which it is known to have been this part, on a basis as good as its own."""
        own = self.basis.rank
        days = [c.noted_on for c in self.claims if c.basis.rank <= own]
        return max([self.noted_on, *(a.back_on for a in self.absences), *days])

    def told_otherwise(self, name: str) -> Claim | None:
        """The newest statement on a field, or on `set_on`, that the record contradicts."""
        said = [c for c in self.claims if c.field == name and not c.counts]
        if name == SETTING:
            said = [c for c in said if not cast(When, c.value).overlaps(self.set_on)]
        else:
            said = [c for c in said if c.value != getattr(self.part, name)]
        return said[-1] if said else None

    @property
    def said_changed(self) -> Claim | None:
        """The weaker statement that it was set later than it is known to hang there.

        Either the date is wrong or the part was changed and nobody wrote it down: a thing to ask.
        It is answered once somebody who knows better has seen the part again.
        """
        said = self.told_otherwise(SETTING)
        if said is None or not cast(When, said.value).is_after(self.noted_on):
            return None
        since = self.claims[self.claims.index(said) + 1 :]
        answered = any(c.basis.rank < said.basis.rank for c in since)
        answered = answered or any(a.back_on >= said.noted_on for a in self.absences)
        return None if answered else said

    def on(self, day: date) -> Component:
        """As it hung on a day: later moves undone, what was learnt of it since kept."""
        kept = self._undone(day)
        over = tuple(a for a in self.absences if a.back_on <= day)
        away = self._away(day)
        if away is not None:
            return replace(
                kept,
                pulled_on=When.on(away.out_on),
                pulled_by=away.pulled_by,
                why_pulled=away.why,
                cause=away.cause,
                absences=over,
            )
        if not self.was_down(day):
            return kept
        there = replace(kept, pulled_on=None, pulled_by=None, absences=over)
        return replace(there, why_pulled="", cause=None)

    def _undone(self, day: date) -> Component:
        """With its place as it was on a day, and as that place was known."""
        # A place that was not known before was not another place.
        moves = [
            c
            for c in self.claims
            if c.noted_on > day and c.counts and c.field in PLACES and c.was is not None
        ]
        part = self.part
        for claim in reversed(moves):
            part = replace(part, **{claim.field: claim.was})
        return replace(self, part=part, claims=tuple(c for c in self.claims if c not in moves))

    def _away(self, day: date) -> Absence | None:
        return next((a for a in self.absences if a.out_on <= day < a.back_on), None)

    def was_down(self, day: date) -> bool:
        """Whether it may have been in the well on a day, as far as is known."""
        begun = self.set_on.earliest is None or self.set_on.earliest <= day
        begun = begun and (self.cut_on is None or self.cut_on <= day)
        out = self.pulled_on
        over = out is not None and (out.latest or out.earliest or date.min) <= day
        return begun and not over and self._away(day) is None


@dataclass(frozen=True, slots=True)
class Observation:
    """One measured or told value of a well, with its date, basis, measuring point and state."""

    uid: str
    quantity: Quantity
    value: float | None
    when: When
    basis: Basis
    point: MeasuringPoint | None = None
    state: LevelState | None = None
    method: str = ""
    at_gpm: float | None = None
    minutes: float | None = None
    sheet_uid: str | None = None

    def fact(self) -> Fact:
        """The observation as a fact."""
        return Fact(
            self.value,
            self.quantity.unit,
            self.basis,
            self.when,
            self.point,
            self.state,
            self.method,
            self.uid,
        )


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of the bore: casing, liner, screen, open hole, or a fractured zone."""

    uid: str
    kind: IntervalKind
    from_ft: float | None
    to_ft: float | None
    diameter_in: float | None
    material: str
    basis: Basis
    when: When
    sheet_uid: str | None = None
    pressure_psi: float | None = None
    """For a fractured zone: the pressure at which the rock opened, and the water that went in."""
    volume_gal: float | None = None


@dataclass(frozen=True, slots=True)
class Inspection:
    """What was counted on a cable at one visit, and what that visit added."""

    uid: str
    component_uid: str
    on: date
    splices: int | None
    rubs: int | None
    splices_added: int
    sheet_uid: str


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found at a visit."""

    uid: str
    on: date
    what: FoundKind
    part: Kind | None
    depth_ft: float | None
    count: int | None
    severity: Severity | None
    note: str
    sheet_uid: str


@dataclass(frozen=True, slots=True)
class Sample:
    """A water sample and what the laboratory said of it; None where it was not looked for."""

    uid: str
    taken_on: When
    bacteria: Bacteria | None
    nitrate_mg_l: float | None
    arsenic_mg_l: float | None
    laboratory: str
    note: str
    sheet_uid: str | None
    basis: Basis = Basis.MEASURED


@dataclass(frozen=True, slots=True)
class Visit:
    """A sheet as the well's record shows it: a visit, a call, or the opening record."""

    uid: str
    kind: SheetKind
    start: date
    end: date | None
    reason: Reason
    crew: tuple[str, ...]
    left_without_pump: bool
    left_for_next_time: str
    notes: str
    opened: bool
    disinfected: bool
    caller: str = ""
    caller_phone: str = ""
    symptom: str = ""
    promised: str = ""
    outcome: str = ""
    number: int = 0


@dataclass(frozen=True, slots=True)
class Contact:
    """A way to reach a customer, and whether it may be used."""

    way: ContactWay
    value: str
    may_use: Permission


@dataclass(frozen=True, slots=True)
class Occupant:
    """A customer at a property, from and to."""

    customer_uid: str
    name: str
    since: When
    until: When | None
    contacts: tuple[Contact, ...]
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Site:
    """The property where the well head stands."""

    uid: str
    road: str
    town: str
    region: str
    postcode: str
    latitude: float | None
    longitude: float | None
    access: str
    well_head: str
    notes: str


@dataclass(frozen=True, slots=True)
class System:
    """What the well feeds: which other wells share it and how many properties draw on it."""

    uid: str
    name: str
    rise_to_tank_ft: float | None
    other_wells: tuple[str, ...]
    other_sites: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hole:
    """All that the book knows of one well, ever. `on` gives it as of a day."""

    uid: str
    tag: str
    permit_no: str
    role: Role
    use: str
    status: WellStatus
    construction: Construction
    flowing: bool | None
    driller: str
    drilled_on: When
    stick_up_ft: float | None
    frost_depth_ft: float | None
    entered_on: date
    notes: str = ""
    site: Site | None = None
    system: System | None = None
    occupants: tuple[Occupant, ...] = ()
    intervals: tuple[Interval, ...] = ()
    observations: tuple[Observation, ...] = ()
    components: tuple[Component, ...] = ()
    inspections: tuple[Inspection, ...] = ()
    found: tuple[Found, ...] = ()
    samples: tuple[Sample, ...] = ()
    visits: tuple[Visit, ...] = ()
    status_unsealed: WellStatus = WellStatus.IN_USE
    """What it was before a decommissioning sealed it; of a well that is not sealed, nothing."""
    day: date | None = field(default=None)

    # -- as of a day ---------------------------------------------------------------------------

    def on(self, day: date) -> Hole:
        """The hole as it was on a past day, as it is known now.

        Before it was drilled there is nothing: no bore, and no part of its own.
        """

        def past(when: When) -> bool:
            return when.earliest is None or when.earliest <= day

        begun = not self.drilled_on.is_after(day)
        return replace(
            self,
            day=day,
            status=self._status_on(day),
            occupants=tuple(
                replace(o, until=None) if o.until and not past(o.until) else o
                for o in self.occupants
                if past(o.since)
            ),
            intervals=tuple(i for i in self.intervals if begun and past(i.when)),
            observations=tuple(
                o for o in self.observations if begun and (past(o.when) or self._stood(o, day))
            ),
            components=tuple(
                c.on(day)
                for c in self.components
                if past(c.set_on)
                and (c.cut_on is None or c.cut_on <= day)
                and (begun or c.well_uid not in ("", self.uid))
            ),
            inspections=tuple(i for i in self.inspections if i.on <= day),
            found=tuple(f for f in self.found if f.on <= day),
            samples=tuple(s for s in self.samples if past(s.taken_on)),
            visits=tuple(v for v in self.visits if v.start <= day),
        )

    @property
    def not_yet_drilled(self) -> bool:
        """Whether, as of the day that is shown, the well was certainly not there yet."""
        return self.day is not None and self.drilled_on.is_after(self.day)

    def _stood(self, seen: Observation, day: date) -> bool:
        """Whether what was found later was there on a day: a depth stays, until it is worked on."""
        if seen.quantity in CHANGING:
            return False
        found = seen.when.latest
        works = [v for v in self.visits if v.reason in _ENDED_BY[seen.quantity] and v.start > day]
        return not any(found is None or v.start <= found for v in works)

    def _status_on(self, day: date) -> WellStatus:
        sealed = self.sealed_on
        if self.status is WellStatus.SEALED and sealed is not None and sealed > day:
            return self.status_unsealed
        return self.status

    @property
    def sealed_on(self) -> date | None:
        """The day on which it was sealed for good; None where no sheet tells of it."""
        days = [v.start for v in self.visits if v.reason is Reason.DECOMMISSIONING]
        return min(days, default=None)

    # -- what hangs there ----------------------------------------------------------------------

    def down(self, kind: Kind) -> tuple[Component, ...]:
        """The components of a kind that are in or on the well now, top down."""
        return tuple(sorted(self._there(kind), key=_place_ft))

    def the(self, part: type[P]) -> tuple[Component, P] | None:
        """The one component of a kind that is there now, with its part; None where there is none.

        Where several are there (two tanks), the newest is given.
        """
        there = self._there(part.kind)
        return (there[-1], cast(P, there[-1].part)) if there else None

    def _there(self, kind: Kind) -> list[Component]:
        if self._left_behind(kind):
            return []
        return [c for c in self.components if c.kind is kind and c.pulled_on is None]

    def _left_behind(self, kind: Kind) -> bool:
        """Whether what is not pulled of a kind serves nobody: the tank may serve another well."""
        return self.status is WellStatus.SEALED and kind not in OF_THE_SYSTEM

    def sealed_in(self, kind: Kind) -> tuple[Component, ...]:
        """What was never pulled from a well that is sealed for good: it is there, and stays."""
        if not self._left_behind(kind):
            return ()
        there = [c for c in self.components if c.kind is kind and c.pulled_on is None]
        return tuple(sorted(there, key=_place_ft))

    def parts(self, part: type[P]) -> Iterator[tuple[Component, P]]:
        """All components of a kind that are there now, with their parts, top down."""
        for component in self.down(part.kind):
            yield component, cast(P, component.part)

    # -- seasons -------------------------------------------------------------------------------

    @property
    def closed_without_pump(self) -> Visit | None:
        """The visit that closed a seasonal place and took its pump out, until it is opened up."""
        for visit in reversed(self.visited()):
            if visit.reason is Reason.CLOSING_DOWN:
                out = any(c.kind is Kind.PUMP for c in self._pulled_at(visit))
                return visit if out or visit.left_without_pump else None
            if visit.reason is Reason.OPENING_UP or visit.opened:
                return None
        return None

    def stored(self, kind: Kind) -> tuple[Component, ...]:
        """What was pulled when a seasonal place was closed down: out, to go back at its opening."""
        closed = self.closed_without_pump
        if closed is None:
            return ()
        out = [c for c in self._pulled_at(closed) if c.kind is kind]
        return tuple(sorted(out, key=_place_ft))

    def _pulled_at(self, visit: Visit) -> list[Component]:
        return [c for c in self.components if c.pulled_by == visit.uid]

    def opened_up(self) -> Hole:
        """As it hangs once what is in store is back."""
        away = [c.uid for kind in Kind for c in self.stored(kind)]
        return replace(
            self,
            components=tuple(
                replace(c, pulled_on=None, pulled_by=None) if c.uid in away else c
                for c in self.components
            ),
        )

    # -- what it owes --------------------------------------------------------------------------

    @property
    def owes(self) -> bool:
        """Only wells that are the shop's own and in use owe anything.

        A seasonal place is in use: somebody will drink from it again. So is a standby well: it is
        kept for the day on which the other one fails, and a test or a check-up that is overdue is
        found out on that very day. Only a well that is sealed for good is done with.
        """
        return self.role is Role.OURS and self.status is not WellStatus.SEALED

    # -- what is known of the hole -------------------------------------------------------------

    @property
    def reworked_on(self) -> date | None:
        """The day of the last work on the hole, from which older levels and yields do not hold.

        A depth holds through a fracturing: see `worked_on`.
        """
        return self.worked_on(Quantity.WATER_LEVEL_FT)

    def worked_on(self, quantity: Quantity) -> date | None:
        """The day of the last work on the hole that ended older values of a quantity."""
        work = self._work(quantity)
        return None if work is None else work.end or work.start

    def _work(self, quantity: Quantity) -> Visit | None:
        done = [v for v in self.visits if v.reason in _ENDED_BY.get(quantity, ())]
        return max(done, key=lambda v: v.end or v.start, default=None)

    def before_work(self, quantity: Quantity) -> tuple[Fact, Visit] | None:
        """The last value known before the work that ended it, and that work.

        It no longer holds, but a bottom that was at 428 ft before the hole was deepened is no
        higher now. None where no work ended any value.
        """
        work = self._work(quantity)
        if work is None:
            return None
        old = [o for o in self._told(quantity) if not self._read_after(o, work)]
        fact = _counting(quantity, [o for o in old if o.value is not None])
        return None if fact is None else (fact, work)

    def valid_observations(self, quantity: Quantity) -> list[Observation]:
        """Observations of a quantity that still hold, oldest first.

        One of which is only known that it was made by some day comes before all that have a
        beginning: it may be as old as the well.
        """
        work = self._work(quantity)
        return [o for o in self._told(quantity) if work is None or self._read_after(o, work)]

    def _told(self, quantity: Quantity) -> list[Observation]:
        return sorted((o for o in self.observations if o.quantity is quantity), key=_by_age)

    def _read_after(self, seen: Observation, work: Visit) -> bool:
        """Whether a reading may be of the hole as it was left by work on the hole itself.

        What the sheet of that work says without a date of its own is how the crew left it. Of one
        day, a sheet that was entered before it, or a record without a sheet, tells of the old hole.
        """
        end, latest, told = work.end or work.start, seen.when.latest, seen.sheet_uid
        if seen.when.earliest is None and told != work.uid:
            # Copied from paper: as likely as not of the hole as it was drilled.
            return False
        if latest is None or latest != end:
            return latest is not None and latest > end
        sheets = [v.uid for v in self.visits]
        return told in sheets and sheets.index(told) >= sheets.index(work.uid)

    def fact(self, quantity: Quantity) -> Fact | None:
        """What counts of a quantity: of those that stay, the best basis; of others, the newest.

        Of water levels it is the one at rest: a pumping level is another thing (see `level`).
        """
        if quantity is Quantity.WATER_LEVEL_FT:
            return self.level(LevelState.STATIC, LevelState.FLOWING)
        return _counting(
            quantity, [o for o in self.valid_observations(quantity) if o.value is not None]
        )

    def last_measured(self, quantity: Quantity, than: Fact) -> Fact | None:
        """The last measured value, to stand beside a newer one that was not measured."""
        if than.basis is Basis.MEASURED:
            return None
        known = [
            o
            for o in self.valid_observations(quantity)
            if o.value is not None and o.basis is Basis.MEASURED and o.state is than.state
        ]
        return known[-1].fact() if known else None

    def level(self, *states: LevelState) -> Fact | None:
        """The newest water level in one of the given states."""
        seen = [o for o in self.valid_observations(Quantity.WATER_LEVEL_FT) if o.state in states]
        return seen[-1].fact() if seen else None

    def below_ground(self, fact: Fact) -> float:
        """A depth counted from the ground, whatever point it was measured from.

        From the casing's top it is less by the stick-up; an unknown stick-up counts as none.
        """
        if fact.point is MeasuringPoint.CASING_TOP:
            return fact.number - (self.stick_up_ft or 0.0)
        return fact.number

    def depth_ft(self) -> float | None:
        """The depth of the hole below ground, or None."""
        fact = self.fact(Quantity.DEPTH_FT)
        return None if fact is None else self.below_ground(fact)

    def level_ft(self, *states: LevelState) -> float | None:
        """The newest level in these states, in feet below ground; None where not known."""
        fact = self.level(*states)
        return None if fact is None or fact.value is None else self.below_ground(fact)

    def casing(self) -> tuple[Interval, ...]:
        """The casing's intervals, top down."""
        return tuple(
            sorted(
                (i for i in self.intervals if i.kind is IntervalKind.CASING),
                key=lambda i: (i.from_ft or 0.0, i.to_ft or 0.0),
            )
        )

    def bore_diameter_in(self) -> float | None:
        """The narrowest recorded diameter, for the water it holds; None where none is known."""
        known = [i.diameter_in for i in self.intervals if i.diameter_in]
        return min(known, default=None)

    def visited(self, *kinds: SheetKind) -> list[Visit]:
        """Visits (or calls), oldest first."""
        return [v for v in self.visits if v.kind in (kinds or (SheetKind.VISIT,))]


PLACES = frozenset({"set_depth_ft", "from_ft", "to_ft", "depth_ft"})
"""The fields that say where a part hangs: a part that goes back down may hang elsewhere."""


def _place_ft(component: Component) -> float:
    """Where a part begins, for the order from the top down; the pump's place is its depth."""
    for name in ("from_ft", "depth_ft", "set_depth_ft"):
        value = getattr(component.part, name, None)
        if value is not None:
            return float(value)
    return 0.0


def _by_age(seen: Observation) -> tuple[bool, date, date]:
    when = seen.when
    return when.earliest is not None, when.latest or date.min, when.earliest or date.min


def _counting(quantity: Quantity, known: list[Observation]) -> Fact | None:
    """What counts of values that are in the order of their age."""
    if not known:
        return None
    if quantity in CHANGING:
        return known[-1].fact()
    best = min(o.basis.rank for o in known)
    return [o for o in known if o.basis.rank == best][-1].fact()


_ENDED_BY = {
    Quantity.DEPTH_FT: NEW_BOTTOM,
    Quantity.WATER_LEVEL_FT: REWORKED,
    Quantity.YIELD_GPM: REWORKED,
}
"""The work on the hole after which older values no longer hold."""
