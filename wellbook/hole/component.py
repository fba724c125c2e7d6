"""One part of a string: what is known of it, when it hung there, and when it was out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import cast

from wellbook.dates import When
from wellbook.hole.facts import Fact
from wellbook.hole.parts import Part
from wellbook.terms import ON_PAPER, Basis, Cause, Kind

SETTING = "set_on"
"""The name under which claims on the day of a part's setting are kept, beside those on its fields."""

PLACES = frozenset({"set_depth_ft", "from_ft", "to_ft", "depth_ft"})
"""The fields that say where a part hangs: a part that goes back down may hang elsewhere."""

LASTING = ("type", "hp", "serial", "model_year")
"""The fields in which a part stays as it is, and that people name alike: told otherwise, it may be
another part. A material, a maker or a size is said in so many ways that a difference says nothing."""


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

    @property
    def as_of(self) -> When:
        """As of when it is known: of what was copied from paper, only by when."""
        return _known(self.basis, self.noted_on)

    def fact(self, name: str, unit: str = "") -> Fact | None:
        """The value of one field with its own basis and date; None where it is not known."""
        value = getattr(self.part, name)
        if value is None:
            return None
        for claim in reversed(self.claims):
            if claim.field == name and claim.counts:
                noted = _known(claim.basis, claim.noted_on)
                return Fact(value, unit, claim.basis, noted, record=self.uid)
        return Fact(value, unit, self.basis, self.as_of, record=self.uid)

    @property
    def setting(self) -> Fact:
        """The day of its setting, with what it rests on."""
        for claim in reversed(self.claims):
            if claim.field == SETTING and claim.counts:
                noted = _known(claim.basis, claim.noted_on)
                return Fact(self.set_on, "", claim.basis, noted, record=self.uid)
        return Fact(self.set_on, "", self.basis, self.as_of, record=self.uid)

    @property
    def seen_on(self) -> date:
        """The last day on which it is known to have been this part, on a basis as good as its own."""
        own = self.basis.rank
        days = [c.noted_on for c in self.claims if c.basis.rank <= own]
        return max([self.noted_on, *(a.back_on for a in self.absences), *days])

    def told_otherwise(self, name: str) -> Claim | None:
        """The newest statement on a field, or on `set_on`, that the record contradicts."""
        own = self.set_on if name == SETTING else getattr(self.part, name, None)
        said = [c for c in self.claims if c.field == name and not c.counts]
        said = [c for c in said if _contradict(c.value, own)]
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
        return None if self._answered(said) else said

    @property
    def doubts(self) -> tuple[Claim, ...]:
        """What was told of it as of another part, and nobody who knows better has answered since."""
        said = [self.told_otherwise(name) for name in (SETTING, *LASTING)]
        return tuple(c for c in said if c is not None and not self._answered(c))

    def _answered(self, said: Claim) -> bool:
        """Whether somebody who knows better has seen the part after a statement was made."""
        since = self.claims[self.claims.index(said) + 1 :]
        return any(c.basis.rank < said.basis.rank for c in since) or any(
            a.back_on >= said.noted_on for a in self.absences
        )

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


def _known(basis: Basis, noted_on: date) -> When:
    """As of when a statement holds: paper is as old as the paper, and was there by then."""
    return When.between(None if basis in ON_PAPER else noted_on, noted_on)


def _contradict(said: object, known: object) -> bool:
    """Whether two statements cannot both be true; what is not known contradicts nothing."""
    if known is None:
        return False
    if isinstance(said, When) and isinstance(known, When):
        return not said.overlaps(known)
    if isinstance(said, str) and isinstance(known, str):
        return said.casefold() != known.casefold()
    return said != known
