"""What is said of a part that is on record: which statement counts, and which stands beside it.

The better basis counts, of equals the newer. A statement that does not count is kept as a claim:
nothing weaker or older is lost, and what was only told never ends, moves or re-dates a part that
somebody saw.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from wellbook.dates import When
from wellbook.hole.component import PLACES, SETTING, Claim, Component
from wellbook.terms import TOLD, Basis


def told(
    old: Component,
    values: Mapping[str, object],
    basis: Basis,
    on: date,
    sheet_uid: str,
    *,
    moved: bool = False,
) -> Component:
    """A part with statements on its fields added.

    A part that went back down may hang elsewhere: with `moved` the new place counts in any case.
    """
    part, claims = old.part, old.claims
    for name, value in values.items():
        known = replace(old, part=part, claims=claims).fact(name)
        if known is not None and known.value == value and known.basis.rank <= basis.rank:
            continue
        counts = known is None or basis.rank <= known.basis.rank
        counts = counts or (moved and name in PLACES)
        was = getattr(part, name)
        claims = (*claims, Claim(name, value, basis, on, counts, sheet_uid, was))
        if counts:
            part = replace(part, **{name: value})
    return replace(old, part=part, claims=claims)


def told_when_set(
    old: Component, said: When | None, basis: Basis, on: date, sheet_uid: str
) -> Component:
    """A part with a statement on the day of its setting added.

    It counts where its basis is as good as that of the date on record and it says more, or where
    nothing but "by then" is on record. It never puts a setting after the day on which the part was
    already noted: such a statement is of another part, and stays as a claim to be asked about.
    """
    if said is None or not said.known or said == old.set_on:
        return old
    counts = _redates(old, said, basis)
    value = _by(said, old, basis) if counts else said
    claim = Claim(SETTING, value, basis, on, counts, sheet_uid, old.set_on)
    return replace(old, claims=(*old.claims, claim), set_on=value if counts else old.set_on)


def _redates(old: Component, said: When, basis: Basis) -> bool:
    if said.is_after(old.noted_on) or old.set_on.within(said):
        return False
    if basis.rank <= old.setting.basis.rank:
        return True
    return old.set_on.earliest is None and said.overlaps(old.set_on)


def _by(said: When, old: Component, basis: Basis) -> When:
    """A told day of setting, not later than the part is known to have been there."""
    ends = [said.latest, old.noted_on]
    if basis.rank > old.setting.basis.rank:
        ends.append(old.set_on.latest)
    return When.between(said.earliest, min(e for e in ends if e is not None), said.text)


def there_by(old: Component, day: date) -> Component:
    """A part that was there on a day: it was set by then, and known, in whatever words.

    A paper without a date bears the day on which it was copied, though it is older.
    """
    return replace(old, set_on=set_by(old.set_on, day), noted_on=min(old.noted_on, day))


def set_by(said: When | None, day: date) -> When:
    """When a part was set that was there on a day: as it is said, and by that day in any case."""
    if said is None:
        return When.between(None, day)
    if said.is_after(day) or (said.latest is not None and said.latest <= day):
        return said
    return When.between(said.earliest, day, said.text if said.known else "unknown")


def another_since(old: Component, said: When | None, basis: Basis) -> bool:
    """Whether a part that is said to be down is surely another than the one on record.

    It was set after the last day on which that one was seen, and whoever says so knows it as well
    as anything that is known of that one. What was only told is no such knowledge.
    """
    if said is None or basis in TOLD:
        return False
    known = min(old.basis.rank, *(c.basis.rank for c in old.claims), len(Basis))
    return basis.rank <= known and said.is_after(old.seen_on)


def seen_again(old: Component, basis: Basis, on: date, sheet_uid: str) -> Component:
    """A part of which something else was told, found there by somebody who knows better."""
    if not any(basis.rank < said.basis.rank for said in old.doubts):
        return old
    claim = Claim(SETTING, old.set_on, basis, on, False, sheet_uid, old.set_on)
    return replace(old, claims=(*old.claims, claim))
