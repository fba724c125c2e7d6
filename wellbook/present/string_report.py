"""A string and how it was judged, as frozen data: what `check` and `plan` say, without any layout."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from wellbook.hole.describe import number_text
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.present.cautions import cautions
from wellbook.present.lines import Line
from wellbook.present.place_lines import title
from wellbook.present.string_lines import string_lines
from wellbook.rules.check import Check
from wellbook.rules.duty import Duty
from wellbook.rules.finding import Settings
from wellbook.rules.hoist import Load, load
from wellbook.rules.loading import Item, to_load
from wellbook.terms import Kind, Quantity, Verdict

_ORDER = (Verdict.FAIL, Verdict.CANNOT_SAY, Verdict.PASS)


@dataclass(frozen=True, slots=True)
class Beside:
    """One aspect of two strings: the worst check of each, None where one has no such check."""

    rule: str
    aspect: str
    now: Check | None
    planned: Check | None


@dataclass(frozen=True, slots=True)
class StringReport:
    """What hangs, or is to hang, in a well, and what each check says of it."""

    tag: str
    title: str
    day: date
    planned: bool
    string: tuple[Line, ...]
    checks: tuple[Check, ...]
    duties: tuple[Duty, ...]
    hole: Hole
    to_load: tuple[Item, ...]
    weight: Load
    cautions: tuple[str, ...]
    heading: str
    no_pump: str
    well_gives: str
    beside: tuple[Beside, ...] = ()
    silenced: tuple[tuple[str, str], ...] = ()
    comes_out: tuple[Kind, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The worst of its checks: one that is to be mended fails it all."""
        if any(c.decides for c in self.checks):
            return Verdict.FAIL
        if not self.checks or any(c.verdict is Verdict.CANNOT_SAY for c in self.checks):
            return Verdict.CANNOT_SAY
        return Verdict.PASS

    @property
    def watched(self) -> int:
        """How many numbers are past a limit that is only watched."""
        return sum(c.watched for c in self.checks)

    @property
    def missing(self) -> tuple[str, ...]:
        """All that would have to be known, each once."""
        return tuple(dict.fromkeys(m for c in self.checks for m in c.missing))


@dataclass(frozen=True, slots=True)
class Judged:
    """A well, all that was held against a limit in it, and what its pump does at each level."""

    hole: Hole
    checks: Sequence[Check]
    duties: Sequence[Duty] = ()


def report_now(
    now: Judged, day: date, *, silenced: Mapping[str, str] | None = None
) -> StringReport:
    """What hangs there on a day.

    Parameters
    ----------
    now
        The well as of `day`.
    silenced
        Rules that the shop keeps silent for this well, with the reason: their numbers are shown, and
        nothing is to be done.
    """
    quiet = silenced or {}
    heard = [replace(c, finding=None) if c.rule in quiet else c for c in now.checks]
    report = _report(replace(now, checks=heard), day)
    return replace(report, silenced=tuple(quiet.items()))


def report_planned(
    now: Judged,
    planned: Judged,
    day: date,
    settings: Settings,
    *,
    comes_out: Sequence[Kind],
    compare: bool,
) -> StringReport:
    """What is to hang there, beside what hangs there now where that is asked for.

    Parameters
    ----------
    now, planned
        The well before the job, and as it would be after it.
    settings
        The shop's own numbers.
    comes_out
        What comes out that the plan itself does not say (`store.plans.comes_out`).
    compare
        Whether the two are set beside each other.
    """
    report = _report(planned, day)
    return replace(
        report,
        planned=True,
        heading="THE STRING AS PLANNED",
        string=(*report.string, *_not_listed(planned.hole)),
        to_load=tuple(to_load(now.hole, planned.hole, settings)),
        comes_out=tuple(comes_out),
        beside=set_beside(now.checks, planned.checks) if compare else (),
    )


def _report(judged: Judged, day: date) -> StringReport:
    hole = judged.hole
    hangs = hole.opened_up()
    return StringReport(
        tag=hole.tag,
        title=title(hole),
        day=day,
        planned=False,
        string=tuple(string_lines(hole, day)),
        checks=tuple(sorted(_each_once(judged.checks), key=_rank)),
        duties=tuple(judged.duties),
        hole=hole,
        to_load=(),
        heading=_heading(hole),
        no_pump=_no_pump(hangs),
        well_gives=_well_gives(hole),
        weight=load(hangs),
        cautions=tuple(cautions(hole, day)),
    )


def _heading(hole: Hole) -> str:
    stored = any(hole.stored(kind) for kind in Kind)
    return "THE STRING THAT IS IN STORE" if stored else "THE STRING AS IT HANGS"


def _no_pump(hangs: Hole) -> str:
    """What is said where no pump is down; of a pump that nobody wrote down nobody knows."""
    if hangs.down(Kind.PUMP):
        return ""
    pulled = any(c.kind is Kind.PUMP for c in hangs.components)
    return "NO PUMP HANGS THERE" if pulled or hangs.flowing else "NO PUMP ON RECORD"


def _well_gives(hole: Hole) -> str:
    fact = hole.fact(Quantity.YIELD_GPM)
    return "" if fact is None else f"{number_text(fact)} ({fact.basis.label}, {fact.as_of})"


def _not_listed(hole: Hole) -> Iterator[Line]:
    """A model that the shop's list does not have: no curve is known of it."""
    found = hole.the(Pump)
    if found is not None and found[1].model and hole.pump_model is None:
        yield Line("unknown", f"{found[1].model} is not in the shop's list of pumps: no curve")


def _each_once(checks: Sequence[Check]) -> list[Check]:
    """Of sections held against the same limit the worst: a joint more or less in a run says nothing."""
    worst: dict[tuple[object, ...], Check] = {}
    for check in checks:
        of = (check.rule, check.aspect, check.says if check.limit is None else check.limit)
        worst[of] = min(worst.get(of, check), check, key=_how_bad)
    return list(worst.values())


def _how_bad(check: Check) -> tuple[tuple[int, bool], float]:
    return _rank(check), check.margin if check.margin is not None else 0.0


def _rank(check: Check) -> tuple[int, bool]:
    return _ORDER.index(check.verdict), not check.decides


def set_beside(now: Sequence[Check], planned: Sequence[Check]) -> tuple[Beside, ...]:
    """Two strings aspect by aspect, in the order of the rules."""
    names = dict.fromkeys((c.rule, c.aspect) for c in (*now, *planned))
    return tuple(
        Beside(rule, aspect, _worst(now, rule, aspect), _worst(planned, rule, aspect))
        for rule, aspect in names
    )


def _worst(checks: Sequence[Check], rule: str, aspect: str) -> Check | None:
    of_it = [c for c in checks if (c.rule, c.aspect) == (rule, aspect)]
    return min(of_it, key=_how_bad, default=None)
