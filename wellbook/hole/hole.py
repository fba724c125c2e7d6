"""One well's record as a whole: what the rules judge and the screen shows.

Nothing here knows where it was loaded from, and nothing reads a clock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeVar, cast

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.facts import Fact
from wellbook.hole.parts import Part, Pump
from wellbook.hole.records import (
    AttachedFile,
    Found,
    Inspection,
    Interval,
    Observation,
    Occupant,
    Paper,
    PumpModel,
    Sample,
    Site,
    System,
    Visit,
)
from wellbook.terms import (
    CHANGING,
    NEW_BOTTOM,
    OF_THE_SYSTEM,
    REWORKED,
    Basis,
    Construction,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    Quantity,
    Reason,
    Role,
    SheetKind,
    WellStatus,
)

P = TypeVar("P", bound=Part)


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
    papers: tuple[Paper, ...] = ()
    files: tuple[AttachedFile, ...] = ()
    status_unsealed: WellStatus = WellStatus.IN_USE
    """What it was before a decommissioning sealed it; of a well that is not sealed, nothing."""
    day: date | None = field(default=None)
    pump_models: Mapping[str, PumpModel] = field(default_factory=dict, hash=False)
    """The uid of a pump -> its model, of the pumps here that are in the shop's own list.

    Of all that ever hung here, so that a hole of a past day has the curve of that day's pump.
    """
    _valid: dict[Quantity, Sequence[Observation]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _hanging: dict[Kind, Sequence[Component]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    """What `valid_observations` and `_there` gave: rules ask for the same again and again."""

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
            papers=tuple(p for p in self.papers if p.sent_on <= day),
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
        """The day on which it was sealed for good; None where no sheet that holds tells of it."""
        sealing = [v for v in self.visits if v.reason is Reason.DECOMMISSIONING]
        days = [v.start for v in sealing if not v.reopened]
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

    @property
    def pump_model(self) -> PumpModel | None:
        """The model of the pump that is there now, where the shop has it in its list."""
        pump = self.the(Pump)
        return None if pump is None else self.pump_models.get(pump[0].uid)

    def _there(self, kind: Kind) -> Sequence[Component]:
        there = self._hanging.get(kind)
        if there is None:
            there = self._hanging[kind] = [] if self._left_behind(kind) else self._not_pulled(kind)
        return there

    def _not_pulled(self, kind: Kind) -> Sequence[Component]:
        return [c for c in self._of_kind(kind) if c.pulled_on is None]

    def _of_kind(self, kind: Kind) -> Sequence[Component]:
        return [c for c in self.components if c.part.kind is kind]

    def _left_behind(self, kind: Kind) -> bool:
        """Whether what is not pulled of a kind serves nobody: the tank may serve another well."""
        return self.status is WellStatus.SEALED and kind not in OF_THE_SYSTEM

    def sealed_in(self, kind: Kind) -> tuple[Component, ...]:
        """What was never pulled from a well that is sealed for good: it is there, and stays."""
        if not self._left_behind(kind):
            return ()
        return tuple(sorted(self._not_pulled(kind), key=_place_ft))

    def parts(self, part: type[P]) -> Iterator[tuple[Component, P]]:
        """All components of a kind that are there now, with their parts, top down."""
        for component in self.down(part.kind):
            yield component, cast(P, component.part)

    # -- seasons -------------------------------------------------------------------------------

    @property
    def closed_without_pump(self) -> Visit | None:
        """The visit that closed a seasonal place and took its pump out, until it is opened up."""
        if not self._ever_closed:
            return None
        closings = self._closings()
        took = (v for v in closings if any(c.kind is Kind.PUMP for c in self._pulled_at(v)))
        left = (v for v in closings if v.left_without_pump)
        return next(took, None) or next(left, None)

    @property
    def _ever_closed(self) -> bool:
        return any(v.reason is Reason.CLOSING_DOWN for v in self.visits)

    def _closings(self) -> list[Visit]:
        """The visits that closed it since it was opened up or given a pump, newest first.

        That the hole was worked on in the winter brings no pump back.
        """
        found: list[Visit] = []
        for visit in reversed(self.visited()):
            if visit.reason is Reason.CLOSING_DOWN:
                found.append(visit)
            elif visit.reason is Reason.OPENING_UP or self._pump_went_in(visit):
                break
        return found

    def _pump_went_in(self, visit: Visit) -> bool:
        pumps = [c for c in self.components if c.kind is Kind.PUMP]
        return any(visit.uid in (c.set_by, *(a.back_by for a in c.absences)) for c in pumps)

    def stored(self, kind: Kind) -> tuple[Component, ...]:
        """What was pulled when a seasonal place was closed down: out, to go back at its opening."""
        if self.closed_without_pump is None:
            return ()
        out = [c for v in self._closings() for c in self._pulled_at(v) if c.kind is kind]
        return tuple(sorted(out, key=_place_ft))

    def _pulled_at(self, visit: Visit) -> list[Component]:
        return [c for c in self.components if c.pulled_by == visit.uid]

    def opened_up(self) -> Hole:
        """As it hangs once what is in store is back; that the place is closed is still known."""
        if self.closed_without_pump is None:
            return self
        away = [c.uid for kind in Kind for c in self.stored(kind)]
        return self._hung_with(
            tuple(replace(c, pulled_on=None) if c.uid in away else c for c in self.components)
        )

    def _hung_with(self, components: tuple[Component, ...]) -> Hole:
        return replace(self, components=components)

    # -- what it owes --------------------------------------------------------------------------

    @property
    def owes(self) -> bool:
        """Only wells that are the shop's own and in use owe anything.

        In use, as the book takes it, are wells of the status in_use, seasonal and standby. A
        seasonal place is in use: somebody will drink from it again. A standby well is kept for the
        day on which the other one fails, and a test or a check-up that is overdue is found out on
        that very day. Only one that is sealed for good owes nothing but its sealing record (a rule's
        `when_sealed`). The status is the switch:
        `wellbook well edit WELL --status ...`.
        """
        return self.role is Role.OURS and self.status is not WellStatus.SEALED

    @property
    def contract_month(self) -> int | None:
        """The month of the yearly contract of whoever is there now; None where there is none."""
        here = (o.contract_month for o in self.occupants if o.until is None)
        return next((month for month in here if month is not None), None)

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

    def valid_observations(self, quantity: Quantity) -> Sequence[Observation]:
        """Observations of a quantity that still hold, oldest first.

        One of which is only known that it was made by some day comes before all that have a
        beginning: it may be as old as the well.
        """
        valid = self._valid.get(quantity)
        if valid is None:
            told, work = self._told(quantity), self._work(quantity)
            valid = told if work is None else [o for o in told if self._read_after(o, work)]
            self._valid[quantity] = valid
        return valid

    def _told(self, quantity: Quantity) -> list[Observation]:
        told = [o for o in self.observations if o.quantity is quantity]
        return sorted(told, key=_by_age) if len(told) > 1 else told

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

        Of water levels it is the last one at which water stood by itself: a pumping level is another
        thing (see `level`), and whether it still stands there `at_rest` says.
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

    def at_rest(self) -> Fact | None:
        """What was last read of the water with no pump running: its level, that it flows, or dry."""
        return self.level(LevelState.STATIC, LevelState.FLOWING, LevelState.DRY)

    def at_rest_ft(self) -> float | None:
        """Where the water stands by itself, in feet below ground; None where dry, or not known.

        Of a well that flows from a height nobody noted it stands at the ground.
        """
        fact = self.at_rest()
        if fact is None or fact.state is LevelState.DRY:
            return None
        if fact.value is None:
            return 0.0 if fact.state is LevelState.FLOWING else None
        return self.below_ground(fact)

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


def _counting(quantity: Quantity, known: Sequence[Observation]) -> Fact | None:
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
