"""`wellbook calc`: each calculator is a command whose options are those of its function."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer
from typer.core import TyperCommand, TyperGroup

from wellbook.calculators.calculator import Calculator, Option
from wellbook.calculators.shelf import NAMES, the_calculator
from wellbook.calculators.units import show_number, split_name
from wellbook.cli.session import JSON, Session, note, screen_width, session, show, show_json, taking
from wellbook.engineering.curves import HeadCurve
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.calculators.calculator import Answer
    from wellbook.exchange.cases import Case, CaseFile

_SHOWN = 10
_PUMP = "pump"


class CalculatorGroup(TyperGroup):
    """Knows the calculators by name, and imports the one that is asked for."""

    def list_commands(self, ctx: Any) -> list[str]:
        """All names, in the order of the shelf."""
        return list(NAMES)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command of a calculator."""
        return _command(the_calculator(cmd_name))

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Each with what it answers."""
        with formatter.section("Calculators"):
            formatter.write_dl([(name, the_calculator(name).title) for name in NAMES])


class _CalculatorCommand(TyperCommand):
    """A command whose help also says what comes out and what it rests on."""

    calculator: Calculator

    def format_epilog(self, ctx: Any, formatter: Any) -> None:
        """The results, the source, the cautions, an example."""
        with formatter.section("Gives"):
            formatter.write_text(", ".join(self.calculator.results))
        with formatter.section("Source"):
            formatter.write_text(self.calculator.source)
        if self.calculator.cautions:
            with formatter.section("Mind"):
                formatter.write_text(" · ".join(self.calculator.cautions))
        if self.calculator.example:
            with formatter.section("Example"):
                formatter.write_text(f"{ctx.command_path} {self.calculator.example}")


app = typer.Typer(
    cls=CalculatorGroup,
    rich_markup_mode=None,
    subcommand_metavar="CALCULATOR [OPTIONS]",
)


@app.callback(invoke_without_command=True)
def calc(ctx: typer.Context, as_json: bool = JSON) -> None:
    """The desk calculators, on their own: nothing has to be on record.

    Each number is in the unit that its option is named by, or is written with its own: 97.5 m.
    With --from FILE.csv a calculator works out every row of a file, its headers being the options.
    """
    if ctx.invoked_subcommand:
        return
    shelf = [the_calculator(name) for name in NAMES]
    if as_json:
        from wellbook.present.json_shapes import envelope

        listed = [{"name": c.name, "title": c.title} for c in shelf]
        show_json(envelope("wellbook.calculators", 1, calculators=listed))
        return
    from wellbook.present.tables import table

    show(
        table(["calculator", "what it answers"], [[c.name, c.title] for c in shelf], screen_width())
    )
    show(["", "Its options, results and source: wellbook calc CALCULATOR --help"])


class Desk:
    """A calculator, with what can be put in by name: a pump of the shop's own list for its curve."""

    def __init__(self, calculator: Calculator, here: Session) -> None:
        self.calculator = calculator
        self.options = {o.name: o for o in calculator.options}
        self.curve = next((o for o in calculator.options if o.kind is HeadCurve), None)
        self.whole_file = next(
            (o for o in calculator.options if hasattr(o.kind, "from_rows")), None
        )
        self._here = here
        self._curves: dict[str, HeadCurve] = {}

    @property
    def names(self) -> tuple[str, ...]:
        """All that can be given."""
        return (*self.options, *((_PUMP,) if self.curve else ()))

    def work_out(self, given: Mapping[str, Any]) -> Answer:
        """The answer, the pump's curve put in for its name."""
        values = dict(given)
        pump = str(values.pop(_PUMP, "")) if self.curve else ""
        if self.curve and pump:
            if values.get(self.curve.name):
                raise ValueError(f"{_PUMP}: give it or {self.curve.name}, not both")
            values[self.curve.name] = self.the_curve(pump)
        return self.calculator.work_out(values)

    def the_curve(self, words: str) -> HeadCurve:
        """The curve of a pump of the shop's list, looked up once."""
        if words not in self._curves:
            from wellbook.store.pumps import the_curve

            try:
                with self._book.reading() as connection:
                    self._curves[words] = the_curve(connection, words)
            except WellbookError as error:
                raise type(error)(str(error), where=_PUMP) from None
        return self._curves[words]

    @cached_property
    def _book(self) -> Any:
        return self._here.open()

    def check(self, given: Mapping[str, Any]) -> None:
        """Read what is given, before it is used for a whole file."""
        for name, value in given.items():
            if name in self.options:
                self.options[name].read(value)
            else:
                self.the_curve(str(value))


def _command(calculator: Calculator) -> Any:
    """The command of a calculator, made from its options."""
    has_curve = any(o.kind is HeadCurve for o in calculator.options)
    options = {o.name: _declared(o) for o in calculator.options}
    if has_curve:
        told = "A pump of the shop's own list, for its curve."
        options[_PUMP] = (str, typer.Option("", "--pump", metavar="MODEL", help=told))
    told = "Work out every row of a file, - for standard input; options fill what its rows lack."
    if any(hasattr(o.kind, "from_rows") for o in calculator.options):
        told = "The readings, from a file with a header; - for standard input."
    options["from_file"] = (str, typer.Option("", "--from", metavar="FILE.csv", help=told))
    options["as_json"] = (bool, JSON)

    @taking(options)
    def run(ctx: typer.Context, **given: Any) -> int:
        file, as_json = given.pop("from_file"), given.pop("as_json")
        desk = Desk(calculator, session(ctx))
        typed = {name: _typed(value) for name, value in given.items() if value not in ("", None)}
        try:
            if file and desk.whole_file is None:
                desk.check(typed)
                return _file(desk, _read(file), typed, as_json=as_json)
            if file:
                typed |= _whole(desk, file, typed)
            _one(desk, typed, as_json=as_json)
        except ValueError as error:
            raise _by_flag(desk, str(error), ctx.command_path) from None
        except WellbookError as error:
            if error.where == _PUMP:
                error.where = f"--{_PUMP}"
            raise
        return 0

    holder = typer.Typer(rich_markup_mode=None, add_completion=False)
    holder.command(calculator.name, cls=_CalculatorCommand, help=_sentence(calculator.title))(run)
    command: Any = typer.main.get_command(holder)
    command.calculator = calculator
    return command


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _declared(option: Option) -> tuple[Any, Any]:
    """An option of the command line: text, which the calculator reads; a switch for yes and no."""
    if option.kind is bool:
        flags = f"{option.flag}/--no-{option.flag.removeprefix('--')}"
        return bool, typer.Option(None, flags, help=_help(option), show_default=False)
    return str, typer.Option(
        "", option.flag, metavar=_metavar(option), help=_help(option), show_default=False
    )


def _metavar(option: Option) -> str:
    if option.choices or option.kind is str:
        return "WORD"
    number = option.unit.upper().replace("_", " ") or "NUMBER"
    if option.kind in (int, float):
        return number.replace(" PER ", "/")
    return "LIST"


def _help(option: Option) -> str:
    said = [_sentence(option.help)]
    if option.choices:
        said.append(f"One of: {', '.join(option.choices)}.")
    if option.required:
        said.append("[required]")
    elif option.default not in (None, ""):
        said.append(f"[default: {_default(option)}]")
    return " ".join(said)


def _default(option: Option) -> str:
    if isinstance(option.default, bool):
        return "yes" if option.default else "no"
    if isinstance(option.default, int | float):
        return show_number(option.default, split_name(option.name)[1], 6)
    return str(option.default)


def _typed(value: Any) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _by_flag(desk: Desk, message: str, command: str) -> WellbookError:
    """An error that names options, as they are typed here."""
    front, parted, rest = message.partition(": ")
    names = front.split(", ")
    if not parted or not all(n in desk.names for n in names):
        return WellbookError(message)
    if rest == "missing":
        rest = f"missing (see: {command} --help)"
    flags = [desk.options[n].flag if n in desk.options else f"--{n}" for n in names]
    return WellbookError(rest, where=", ".join(flags))


def _one(desk: Desk, given: Mapping[str, Any], *, as_json: bool) -> None:
    from wellbook.present.answers import answer_json, answer_lines
    from wellbook.present.terminal import terminal_width

    answer = desk.work_out(given)
    found_by = {n: v for n, v in given.items() if n not in desk.options}
    inputs = {**found_by, **answer.inputs}
    if as_json:
        show_json(answer_json(desk.calculator, inputs, answer))
    else:
        show(answer_lines(desk.calculator, inputs, answer, terminal_width(sys.stdout)))


def _read(file: str) -> CaseFile:
    from wellbook.exchange.cases import read_cases

    if file == "-":
        return read_cases(sys.stdin.buffer.read(), "standard input")
    try:
        return read_cases(Path(file).read_bytes(), file)
    except OSError as error:
        raise WellbookError((error.strerror or "cannot be read").lower(), where=file) from None


def _whole(desk: Desk, file: str, typed: Mapping[str, Any]) -> dict[str, Any]:
    """The option that a whole file is."""
    option = desk.whole_file
    assert option is not None
    if option.name in typed:
        raise WellbookError(f"give it or {option.flag}, not both", where="--from")
    records = _read(file).records()
    try:
        return {option.name: option.kind.from_rows(records)}
    except ValueError as error:
        raise WellbookError(str(error), where=file) from None


def _file(desk: Desk, file: CaseFile, fill: Mapping[str, Any], *, as_json: bool) -> int:
    """Every case of a file; 2 where one could not be worked out."""
    from wellbook.exchange.cases import worked_out
    from wellbook.present.answers import case_cells, cases_json

    cases = worked_out(file, desk.names, fill, desk.work_out)
    done: list[Case] = []
    if as_json:
        done = list(cases)
        show_json(cases_json(desk.calculator, done))
    else:
        results = desk.calculator.results
        first = next(cases)
        writer = csv.writer(sys.stdout, delimiter=file.delimiter, lineterminator="\n")
        writer.writerow([*file.headers, *results, "error"])
        for case in _chained(first, cases):
            writer.writerow(case_cells(case, results))
            done.append(case)
    wrong = [case for case in done if case.error]
    for case in wrong[:_SHOWN]:
        note(f"{file.name}:{case.row.number}: {case.error}")
    if wrong:
        more = f", {len(wrong) - _SHOWN} more than are named here" if len(wrong) > _SHOWN else ""
        note(f"{len(wrong)} of {len(done)} cases could not be worked out{more}")
    return 2 if wrong else 0


def _chained(first: Case, others: Iterator[Case]) -> Iterator[Case]:
    yield first
    yield from others
