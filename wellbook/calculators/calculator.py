"""What a calculator is, and how its options are read from what a user wrote."""

from __future__ import annotations

import inspect
import math
import re
import types
import typing
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cache
from typing import Any, NamedTuple, get_args, get_origin, get_type_hints

from wellbook.calculators.units import read_number, show_number, split_name
from wellbook.engineering._checks import short
from wellbook.quantities import quoted

_MISSING = inspect.Parameter.empty
_YES = ("yes", "y", "true", "1")
_NO = ("no", "n", "false", "0")


class WholeFile(NamedTuple):
    """What a file that is one case says: options, and the headers of columns that say nothing."""

    options: Mapping[str, Any]
    not_used: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Option:
    """One number, word or list that a calculator is given; its unit is the end of its name.

    `kind` is float, int, bool, str, a class with a class method `parse(text)`, or the tuple type
    `tuple[float, ...]`. An option without a default has to be given. A class that also has
    `from_rows(rows, lines)` is made from the rows of a file, each a mapping of header to cell, and
    the line of each, where the file is one case and not a column of them; it returns a `WholeFile`.
    """

    name: str
    kind: Any
    help: str
    default: Any = _MISSING
    choices: tuple[str, ...] = ()

    @property
    def required(self) -> bool:
        """Whether it has to be given."""
        return self.default is _MISSING

    @property
    def flag(self) -> str:
        """As it is written on the command line.

        >>> Option("height_ft", float, "").flag
        '--height-ft'
        """
        return "--" + self.name.replace("_", "-")

    def read(self, raw: Any) -> Any:
        """Its value, from what was typed or stands in a cell.

        Raises
        ------
        ValueError
            Naming the option, and saying what would be right.
        """
        try:
            return self._read(raw)
        except ValueError as error:
            raise ValueError(f"{self.name}: {error}") from None

    def _read(self, raw: Any) -> Any:
        # A curve from the shop's own list comes as what it is.
        if (
            inspect.isclass(self.kind)
            and hasattr(self.kind, "parse")
            and isinstance(raw, self.kind)
        ):
            return raw
        # "SIDR 9" and "AWG 12" say the option's own name once more.
        text = re.sub(self._own_name, "", str(raw).strip())
        if self.choices:
            return self._choice(text)
        if get_origin(self.kind) is tuple:
            return self._list(text.strip("[]").replace(";", ",").split(","))
        if self.kind is bool:
            if text.lower() not in (*_YES, *_NO):
                raise ValueError(f"{quoted(text)} is neither yes nor no")
            return text.lower() in _YES
        if self.kind is str:
            return text
        if hasattr(self.kind, "parse"):
            return self.kind.parse(text)
        number = read_number(text if isinstance(raw, str) else raw, self.unit)
        if self.kind is int:
            if number != int(number):
                raise ValueError(f"{quoted(text)} is no whole number")
            return int(number)
        return number

    @property
    def _own_name(self) -> str:
        return rf"(?i)^{'[ _-]'.join(self.name.split('_'))}(?:[ :=]+|-)?(?=[\d.#])"

    def _list(self, parts: list[str]) -> tuple[float, ...]:
        """Its numbers; where its name has no unit, all may bear one and the same: 51A, 46A, 53A."""
        errors: list[ValueError] = []
        for unit in (self.unit,) if self.unit else ("", "amps", "volts"):
            try:
                return tuple(read_number(part, unit) for part in parts)
            except ValueError as error:
                errors.append(error)
        raise errors[0]

    def _choice(self, text: str) -> Any:
        """The choice that is meant: "PE 4710" and "galvanized-steel" are understood."""
        meant = [c for c in self.choices if _plain_word(c) == _plain_word(text)]
        if not meant:
            raise ValueError(f"{quoted(text)} is not one of: {', '.join(self.choices)}")
        return self.kind(meant[0]) if self.kind in (int, float) else meant[0]

    @property
    def shown_default(self) -> str:
        """What is taken where it is not given, for people; "" where nothing is.

        >>> Option("rise_ft", float, "", 0.0).shown_default
        '0 ft'
        """
        if self.required or self.default is None:
            return ""
        if isinstance(self.default, bool):
            return "yes" if self.default else "no"
        if isinstance(self.default, int | float):
            return show_number(self.default, self.unit, 6)
        return str(self.default)

    @property
    def unit(self) -> str:
        """The ending of its name, where it is a unit."""
        return split_name(self.name)[1]


@dataclass(frozen=True, slots=True)
class Calculator:
    """A named function of named numbers.

    Parameters
    ----------
    name
        As it is called on the command line: "column-pressure".
    title
        What it answers, in one line.
    reckon
        A function of keyword-only parameters, each annotated `Annotated[TYPE, "help"]` (or
        `Annotated[TYPE, "help", ("choice", ...)]`). It returns a frozen dataclass of numbers, words
        or None, whose names end in their units; a last field `notes` (a tuple of sentences) may
        say what was assumed. It raises ValueError as "field: what is wrong".
    source
        What the arithmetic rests on.
    cautions
        What must be said beside the answer, where the work can hurt someone.
    example
        Options as they are typed, of a case that is worked out in the docs and shown in the help:
        "--height-ft 300 --cut-out-psi 50".
    either
        Option -> options that say the same in another way: where it is given, none of them may be.
    before
        Option -> options that are not needed where it is given: it counts, and a note says so.
    """

    name: str
    title: str
    reckon: Callable[..., Any]
    source: str
    cautions: tuple[str, ...] = ()
    example: str = ""
    either: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    before: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def options(self) -> tuple[Option, ...]:
        """Its options, in the order of the function's parameters."""
        return _options(self.reckon)

    @property
    def results(self) -> tuple[str, ...]:
        """The names of what it gives, `notes` left out."""
        return _results(self.reckon)

    def beside(self, name: str) -> frozenset[str]:
        """The options of which nothing is wanted where one is given, and those that leave it out.

        >>> from wellbook.calculators.shelf import the_calculator
        >>> sorted(the_calculator("string-weight").beside("pump_lb"))
        ['hp']
        """
        ways = [*self.either.items(), *self.before.items()]
        others = {other for one, some in ways if one == name for other in some}
        return frozenset(others | {one for one, some in ways if name in some})

    def work_out(self, given: Mapping[str, Any]) -> Answer:
        """Its answer for one case.

        Parameters
        ----------
        given
            Option name -> what was typed, or a value of the option's own kind; an empty text counts
            as not given.

        Raises
        ------
        ValueError
            Naming the option: not known here, missing, not to be read, beside another that says the
            same, or a number that cannot be.
        """
        options = {o.name: o for o in self.options}
        said = {n: v for n, v in given.items() if str(v).strip() != ""}
        for name in said:
            if name not in options:
                raise ValueError(
                    f"{name}: not an option of {self.name}; it has: {', '.join(options)}"
                )
        missing = [o.name for o in options.values() if o.required and o.name not in said]
        if missing:
            raise ValueError(f"{', '.join(missing)}: missing")
        values = {name: options[name].read(raw) for name, raw in said.items()}
        for name, others in self.either.items():
            not_both(name, [o for o in others if values.get(o) not in (None, False)], values)
        unused = {n: [o for o in others if o in values] for n, others in self.before.items()}
        counts = [
            f"{name} counts; {', '.join(others)} {'are' if others[1:] else 'is'} not needed beside it"
            for name, others in unused.items()
            if name in values and others
        ]
        try:
            result = self.reckon(**values)
        except ArithmeticError:
            raise _beyond(values) from None
        numbers = [getattr(result, n) for n in self.results]
        if not all(math.isfinite(n) for n in numbers if isinstance(n, int | float)):
            raise _beyond(values)
        inputs = {o.name: values.get(o.name, o.default) for o in options.values()}
        return Answer(
            inputs={n: v for n, v in inputs.items() if v is not None},
            results={name: getattr(result, name) for name in self.results},
            notes=(*counts, *getattr(result, "notes", ())),
            given=tuple(values),
        )


@dataclass(frozen=True, slots=True)
class Answer:
    """One case: what was given (with what was taken where nothing was), and what came of it.

    `given` names those of the inputs that were given; the others are defaults.
    """

    inputs: Mapping[str, Any]
    results: Mapping[str, Any]
    notes: tuple[str, ...] = ()
    given: tuple[str, ...] = ()


def not_both(name: str, others: Sequence[str], given: Collection[str]) -> None:
    """ValueError where an option is given beside others that say the same in another way."""
    if name in given and others:
        raise ValueError(f"{name}: give this or {', '.join(others)}, not both")


def _beyond(values: Mapping[str, Any]) -> ValueError:
    """The error of numbers that no number comes of: it names the one that is farthest from 1."""
    numbers = {n: v for n, v in values.items() if isinstance(v, int | float) and v}
    if not numbers:
        return ValueError(f"{', '.join(values)}: no number comes of this")
    name = max(numbers, key=lambda n: abs(math.log10(abs(numbers[n]))))
    size = "large" if abs(numbers[name]) > 1 else "small"
    return ValueError(f"{name}: {short(numbers[name])} is so {size} that no number comes of it")


def _plain_word(text: str) -> str:
    return re.sub(r"[\s_-]+", "", text).lower()


def _plain(kind: Any) -> Any:
    """A type without `| None`."""
    if isinstance(kind, types.UnionType) or get_origin(kind) is typing.Union:
        return next(a for a in get_args(kind) if a is not type(None))
    return kind


# A file has thousands of cases of one function.
@cache
def _options(reckon: Callable[..., Any]) -> tuple[Option, ...]:
    hints = get_type_hints(reckon, include_extras=True)
    found = []
    for name, parameter in inspect.signature(reckon).parameters.items():
        kind, help_text, *rest = get_args(hints[name])
        found.append(
            Option(name, _plain(kind), help_text, parameter.default, *(tuple(r) for r in rest))
        )
    return tuple(found)


@cache
def _results(reckon: Callable[..., Any]) -> tuple[str, ...]:
    kind = get_type_hints(reckon)["return"]
    return tuple(f.name for f in fields(kind) if f.name != "notes")
