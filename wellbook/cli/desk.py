"""A calculator at work: what is given by name is looked up, and what is wrong named as it was typed."""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wellbook.calculators.calculator import Calculator, Option, not_both
from wellbook.cli.session import Session, note
from wellbook.engineering.curves import HeadCurve
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from wellbook.calculators.calculator import Answer
    from wellbook.exchange.cases import CaseFile

PUMP = "pump"
# An option in a message: a name of several words, or what stands in "give this or hp, c, not both".
_NAMED = (
    r"\b[a-z]+(?:_[a-z]+)+\b|(?<=\bgive )[a-z]+\b|(?<=\bor )[a-z]+\b"
    r"|(?<=, )[a-z]+(?=(?:, \w+)*, not both)"
)


class Desk:
    """A calculator, with what can be put in by name: a pump of the shop's own list."""

    def __init__(self, calculator: Calculator, here: Session) -> None:
        self.calculator = calculator
        self.options = {o.name: o for o in calculator.options}
        self.curve = _curve(calculator)
        self.whole_file = next(
            (o for o in calculator.options if hasattr(o.kind, "from_rows")), None
        )
        self._here = here
        self._pumps: dict[str, dict[str, Any]] = {}

    @property
    def columns(self) -> tuple[Option, ...]:
        """All that a column of a file can be."""
        pump = (Option(PUMP, str, "a pump of the shop's own list"),) if self.curve else ()
        return (*self.options.values(), *pump)

    @property
    def names(self) -> tuple[str, ...]:
        """All that can be given."""
        return (*self.options, *((PUMP,) if self.curve else ()))

    def work_out(self, given: Mapping[str, Any]) -> Answer:
        """The answer; what the list has of a pump is put in for its name, where nothing was given."""
        values = dict(given)
        pump = str(values.pop(PUMP, "")) if self.curve else ""
        if self.curve and pump:
            values = {n: v for n, v in values.items() if str(v).strip()}
            known = self.the_pump(pump)
            not_both(PUMP, [n for n in self._barred_by(pump) if n in values], (PUMP,))
            # Of a pump whose curve is known the curve counts, with what is wanted beside it.
            spared = self.calculator.beside(self.curve.name) if self.curve.name in known else ()
            values = {**{n: v for n, v in known.items() if n not in spared}, **values}
        return self.calculator.work_out(values)

    def _barred_by(self, pump: str) -> tuple[str, ...]:
        """What may not be given beside a pump of the list, of which the list says it."""
        assert self.curve is not None
        known = self.the_pump(pump)
        by_curve = self.calculator.either.get(self.curve.name, ())
        return (self.curve.name, *(by_curve if self.curve.name in known else known))

    def filled(self, said: Mapping[str, Any], fill: Mapping[str, Any]) -> dict[str, Any]:
        """What a row says, and what is filled in of all else that it does not say in another way.

        Raises
        ------
        ValueError
            Naming the pump, where there is none of that name.
        """
        pump = str(said.get(PUMP) or fill.get(PUMP, ""))
        barred = self._barred_by(pump) if pump else ()

        def otherwise(name: str) -> bool:
            if name == PUMP:
                return any(n in said for n in barred)
            by_pump = PUMP in said and name in barred
            return by_pump or not self.calculator.beside(name).isdisjoint(said)

        return {**{n: v for n, v in fill.items() if not otherwise(n)}, **said}

    def the_pump(self, words: str) -> dict[str, Any]:
        """The options that the shop's list has of a pump, looked up once.

        Raises
        ------
        ValueError
            Naming the pump, where there is none of that name.
        """
        if words not in self._pumps:
            from wellbook.store.pumps import the_pump

            try:
                with self._book.reading() as connection:
                    model = the_pump(connection, words)
            except NotFoundError as error:
                raise ValueError(f"{PUMP}: {error.message}") from None
            known = {name: getattr(model, name, None) for name in self.options}
            self._pumps[words] = {n: value for n, value in known.items() if value is not None}
        return self._pumps[words]

    @cached_property
    def _book(self) -> Any:
        return self._here.open()

    def check(self, given: Mapping[str, Any]) -> None:
        """Read what is given, before it is used for a whole file."""
        for name, value in given.items():
            if name in self.options:
                self.options[name].read(value)
            else:
                self.the_pump(str(value))

    def by_flag(self, message: str, command: str) -> WellbookError:
        """An error that names options, as they are typed here."""
        front, parted, rest = message.partition(": ")
        names = front.split(", ")
        if not parted or not all(n in self.names for n in names):
            return WellbookError(message)
        if rest == "missing":
            rest = f"missing (see: {command} --help)"
        # "gpm" is a word of the trade, but where it is said what to give; "length_ft" is no word.
        rest = re.sub(_NAMED, lambda word: self._flag(word[0]), rest)
        return WellbookError(rest, where=", ".join(map(self._flag, names)))

    def _flag(self, name: str) -> str:
        """A name as it is typed here; a word that is none stays as it is."""
        if name == PUMP:
            return f"--{PUMP}"
        return self.options[name].flag if name in self.options else name

    def whole(self, file: str, typed: Mapping[str, Any]) -> dict[str, Any]:
        """The option that a whole file is."""
        option = self.whole_file
        assert option is not None
        if option.name in typed:
            raise WellbookError(f"give this or {option.flag}, not both", where="--from")
        read = read_file(file)
        records = read.records()
        try:
            found = option.kind.from_rows(records, [row.number for row in read.rows])
        except ValueError as error:
            raise WellbookError(str(error), where=read.name) from None
        for name in typed.keys() & found.options.keys():
            said, there = self.options[name].read(typed[name]), found.options[name]
            if not math.isclose(said, there, rel_tol=1e-6):
                raise ValueError(f"{name}: {said:g} here, and {there:g} in the file")
        if found.not_used:
            note(f"carried along, not used: {', '.join(found.not_used)}")
        return dict(found.options)


def takes_pump(calculator: Calculator) -> bool:
    """Whether a pump can be named, for its curve."""
    return _curve(calculator) is not None


def _curve(calculator: Calculator) -> Option | None:
    return next((o for o in calculator.options if o.kind is HeadCurve), None)


def read_file(file: str) -> CaseFile:
    """A file of cases, - being standard input.

    Raises
    ------
    WellbookError
        If it cannot be read, or has nothing in it.
    """
    from wellbook.exchange.cases import read_cases

    if file == "-":
        return read_cases(sys.stdin.buffer.read(), "standard input")
    try:
        return read_cases(Path(file).read_bytes(), file)
    except OSError as error:
        raise WellbookError((error.strerror or "cannot be read").lower(), where=file) from None
