"""What a rule gives back, what a rule is, and the numbers that a shop may change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import TYPE_CHECKING, Any, overload

from wellbook.dates import When
from wellbook.days import add_days, add_months
from wellbook.terms import Occasion, Severity

if TYPE_CHECKING:
    from wellbook.hole.hole import Hole

COMMON_PRACTICE = "common practice, no published source"

Number = float | int | str | None
_SEVERITIES = {severity: n for n, severity in enumerate(Severity)}
_OCCASIONS = {occasion: n for n, occasion in enumerate(Occasion)}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong, due or not known about one well.

    `may_from` is the first day on which it may hold and `surely_from` the first on which it surely
    does; None in the first means "for as long as anybody knows", in the second "cannot be said".
    `until` is the day on which a graver finding of the same occurrence takes its place, or on which
    it ends by itself. `to_customer` is what the customer is told, one plain sentence with this well's
    dates; empty where it is nothing to tell: a question, a doubt, what waits for the next pull.
    """

    rule: str
    subject: str
    occurrence: str
    may_from: date | None
    surely_from: date | None
    severity: Severity
    occasion: Occasion
    reason: str
    action: str
    source: str
    counts_from: str = ""
    numbers: Mapping[str, Number] = field(default_factory=dict)
    until: date | None = None
    to_customer: str = ""

    def holds(self, day: date) -> bool:
        """Whether it may hold on a day, and has not ended by then."""
        begun = self.may_from is None or self.may_from <= day
        return begun and (self.until is None or self.until > day)

    @property
    def rank(self) -> tuple[int, int, date, date]:
        """Worst first: severity, occasion, then what has been due for longest."""
        return (
            _SEVERITIES[self.severity],
            _OCCASIONS[self.occasion],
            self.surely_from or date.max,
            self.may_from or date.min,
        )


@dataclass(frozen=True, slots=True)
class Threshold:
    """A number (or a choice) that a shop may change.

    Parameters
    ----------
    name
        Its name within the rule, with the unit at the end.
    default
        What counts until the shop says otherwise.
    meaning
        One sentence for the shop.
    source
        Where the default is from.
    least, most
        Between these a number makes sense, both included. They are wide: a shop may know better
        than the default, but not that a pump lasts 9000 years.
    whole
        Whether it is counted in whole ones: months and days of the calendar.
    choices
        The words allowed, where it is a choice and no number.
    """

    name: str
    default: float | str
    meaning: str
    source: str
    least: float = 0.0
    most: float = 0.0
    whole: bool = False
    choices: tuple[str, ...] = ()

    @property
    def allowed(self) -> str:
        """What it can be, in words.

        >>> Threshold("months", 12, "", "", least=1, most=240, whole=True).allowed
        'a whole number from 1 to 240'
        """
        if self.choices:
            return f"one of: {', '.join(self.choices)}"
        return f"a {'whole ' if self.whole else ''}number from {self.least:g} to {self.most:g}"

    def read(self, text: str) -> float | str:
        """The shop's value, from what was typed.

        Raises
        ------
        ValueError
            Saying what would be right.

        >>> Threshold("months", 12, "", "", least=1, most=240, whole=True).read("900000")
        Traceback (most recent call last):
        ValueError: 900000 is out of range; give a whole number from 1 to 240
        """
        if self.choices:
            if text not in self.choices:
                raise ValueError(f"'{text}' is not {self.allowed}")
            return text
        right = self.allowed
        try:
            number = float(text)
        except ValueError:
            raise ValueError(f"'{text}' is not a number; give {right}") from None
        # Asked this way round, what is not a number at all ("nan") is refused too.
        if not self.least <= number <= self.most:
            raise ValueError(f"{text} is out of range; give {right}")
        if self.whole and number != int(number):
            raise ValueError(f"{text} is no whole number; give {right}")
        return number


Judge = Callable[["Hole", "Numbers"], Iterator[Finding]]


class OfPlan(Enum):
    """What the checks of a rule say of a string that does not hang yet."""

    ALL = "as much as of one that hangs"
    KNOWN_ONLY = "what is known counts; that nobody watched the well for years is no gap in a plan"
    NEVER = "nothing: nobody can have read anything of it"


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: why a shop wants it, what it rests on, its numbers, and the function that judges.

    A rule that holds numbers of a string against limits gives its `checks` (`rules.check`), those
    that pass and those that lack a fact among them, and `of_a_plan` says which of them count before
    the string hangs; any other rule `finds`. A well that is sealed for good owes nothing, but for what
    a rule finds `when_sealed`. `in_order` names pairs of its numbers of which the first
    is never more than the second: the milder figure is reached before the graver one.
    """

    name: str
    title: str
    why: str
    thresholds: tuple[Threshold, ...]
    finds: Judge | None = None
    checks: Callable[[Hole, Numbers], Iterator[Any]] | None = None
    of_a_plan: OfPlan = OfPlan.ALL
    in_order: tuple[tuple[str, str], ...] = ()
    when_sealed: Judge | None = None

    def judge(self, hole: Hole, numbers: Numbers) -> Iterator[Finding]:
        """What it finds: where it has checks, the findings that came of them, each once."""
        if self.finds is not None:
            yield from self.finds(hole, numbers)
        made: list[Finding] = []
        for check in self.checks(hole, numbers) if self.checks is not None else ():
            if check.finding is not None and check.finding not in made:
                made.append(check.finding)
                yield check.finding

    def order_of(self, name: str) -> Iterator[tuple[str, str]]:
        """The numbers that one must stand in order with: "at most" or "at least", and which."""
        for low, high in self.in_order:
            if name == low:
                yield "at most", high
            elif name == high:
                yield "at least", low

    def check_order(self, name: str, numbers: Numbers) -> None:
        """Whether a number that was changed still stands in order with those beside it.

        Raises
        ------
        ValueError
            Naming the other number, which would have to be changed first.
        """
        for low, high in self.in_order:
            if name not in (low, high) or numbers[low] <= numbers[high]:
                continue
            other, than = (high, "more") if name == low else (low, "less")
            raise ValueError(
                f"{numbers[name]:g} would be {than} than {self.name}.{other}, which is"
                f" {numbers[other]:g}; change that one first"
            )


class Numbers:
    """A rule's numbers, as the shop has them.

    >>> Numbers({"years": 8.0})["years"]
    8.0
    """

    def __init__(self, values: Mapping[str, float | str]) -> None:
        self._values = values

    def __getitem__(self, name: str) -> float:
        return float(self._values[name])

    def word(self, name: str) -> str:
        """A choice that is a word."""
        return str(self._values[name])


@dataclass(frozen=True, slots=True)
class Settings:
    """What a shop has changed: `rule.threshold` -> value. All else is the default."""

    changed: Mapping[str, float | str] = field(default_factory=dict)
    _numbers: dict[str, Numbers] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def numbers(self, rule: Rule) -> Numbers:
        """All numbers of a rule: gathered once, for as many wells as are judged by them."""
        found = self._numbers.get(rule.name)
        if found is None:
            changed = self.changed
            found = self._numbers[rule.name] = Numbers(
                {t.name: changed.get(f"{rule.name}.{t.name}", t.default) for t in rule.thresholds}
            )
        return found

    def differs(self, other: Settings) -> set[str]:
        """The names of the rules of which the two have other numbers.

        >>> Settings({"season.a": 1.0, "check-up.b": 2.0}).differs(Settings({"check-up.b": 2.0}))
        {'season'}
        """
        return {name.partition(".")[0] for name, _ in self.changed.items() ^ other.changed.items()}


def occurrence(rule: str, subject: str, record_uid: str) -> str:
    """The identity of a finding: the rule, its subject and the record that it counts from.

    Never a date, so that a changed threshold neither revives nor doubles what was dealt with.

    >>> occurrence("pump-age", "pump", "ab12")
    'pump-age:pump:ab12'
    """
    return f"{rule}:{subject}:{record_uid}"


def from_age(born: When, may_years: float, surely_years: float) -> tuple[date | None, date | None]:
    """The first days on which something is possibly, and surely, as old as that.

    An open beginning may have been any time ago (None); an open end can never be sure (None).
    """
    may, surely = round(may_years * 12), round(surely_years * 12)
    return later(born.earliest, months=may), later(born.latest, months=surely)


@overload
def later(day: date, *, months: int = 0, days: int = 0) -> date: ...


@overload
def later(day: None, *, months: int = 0, days: int = 0) -> None: ...


def later(day: date | None, *, months: int = 0, days: int = 0) -> date | None:
    """So much later; None stays None.

    The calendar ends with the year 9999. What would fall due after it falls due on its last day: a
    shop's odd number is no reason for a visit not to be recorded.

    >>> later(date(2023, 1, 31), months=1), later(date(2023, 1, 31), months=900_000)
    (datetime.date(2023, 2, 28), datetime.date(9999, 12, 31))
    """
    if day is None:
        return None
    try:
        return add_days(add_months(day, months), days)
    except ValueError:
        return date.max


def since(when: When, fallback: date) -> tuple[date | None, date]:
    """From when something that holds at once may, and surely does, hold.

    Parameters
    ----------
    when
        When the record says it came about.
    fallback
        A day on which it certainly held: the day it went on record.
    """
    if when.earliest is not None and when.earliest >= fallback:
        # Done at the very job that wrote it down, which may have lasted some days.
        return when.earliest, when.latest or when.earliest
    # "2026", written down in June of that year, cannot mean December.
    return when.earliest, fallback if when.latest is None else min(when.latest, fallback)
