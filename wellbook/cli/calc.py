"""`wellbook calc`: each calculator is a command whose options are those of its function."""

from __future__ import annotations

import csv
import inspect
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import typer
from typer.core import TyperCommand, TyperGroup

from wellbook.calculators.calculator import Calculator, Option
from wellbook.calculators.shelf import NAMES, the_calculator
from wellbook.calculators.units import unit_symbol
from wellbook.cli.desk import PUMP, Desk, read_file, takes_pump
from wellbook.cli.session import JSON, note, screen_width, session, show, show_json, taking

if TYPE_CHECKING:
    from wellbook.exchange.cases import Case, CaseFile

_SHOWN = 10


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
                for caution in self.calculator.cautions:
                    formatter.write_text(caution)
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
        from wellbook.present.envelope import envelope

        listed = [{"name": c.name, "title": c.title} for c in shelf]
        show_json(envelope("wellbook.calculators", 1, calculators=listed))
        return
    from wellbook.present.tables import table

    show(
        table(["calculator", "what it answers"], [[c.name, c.title] for c in shelf], screen_width())
    )
    show(["", "Its options, results and source: wellbook calc CALCULATOR --help"])


def _command(calculator: Calculator) -> Any:
    """The command of a calculator, made from its options."""
    options = {o.name: _declared(o) for o in calculator.options}
    if takes_pump(calculator):
        told = "A pump of the shop's own list: its curve, or its horsepower, and its rated flow."
        options[PUMP] = (str, typer.Option("", "--pump", metavar="MODEL", help=told))
    told = "Work out every row of a file, - for standard input; options fill what its rows lack."
    if any(hasattr(o.kind, "from_rows") for o in calculator.options):
        told = "The readings, from a file with a header; - for standard input."
    options["from_file"] = (str, typer.Option("", "--from", metavar="FILE.csv", help=told))
    options["as_json"] = (bool, JSON)

    @taking(options)
    def run(ctx: typer.Context, **given: Any) -> int:
        file = given.pop("from_file")
        # `calc --json NAME` is as good as `calc NAME --json`.
        as_json = given.pop("as_json") or bool(ctx.parent and ctx.parent.params["as_json"])
        desk = Desk(calculator, session(ctx))
        typed = {name: _typed(value) for name, value in given.items() if value not in ("", None)}
        try:
            if file and desk.whole_file is None:
                desk.check(typed)
                return _file(desk, read_file(file), typed, as_json=as_json)
            if file:
                typed |= desk.whole(file, typed)
            _one(desk, typed, as_json=as_json)
        except ValueError as error:
            raise desk.by_flag(str(error), ctx.command_path) from None
        return 0

    holder = typer.Typer(rich_markup_mode=None, add_completion=False)
    holder.command(calculator.name, cls=_CalculatorCommand, help=_sentence(calculator.title))(run)
    command: Any = typer.main.get_command(holder)
    command.calculator = calculator
    return command


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}" + ("" if text.endswith(".") else ".")


def _declared(option: Option) -> tuple[Any, Any]:
    """An option of the command line: text, which the calculator reads; a switch for yes and no."""
    if option.kind is bool:
        flags = f"{option.flag}/--no-{option.flag.removeprefix('--')}"
        return bool, typer.Option(None, flags, help=_help(option), show_default=False)
    return str, typer.Option(
        "", option.flag, metavar=_metavar(option), help=_help(option), show_default=False
    )


def _metavar(option: Option) -> str:
    if option.choices or (inspect.isclass(option.kind) and issubclass(option.kind, str)):
        return "WORD"
    if option.kind not in (int, float):
        return "LIST"
    return (unit_symbol(option.unit) if "_" in option.unit else option.unit).upper() or "NUMBER"


def _help(option: Option) -> str:
    said = [_sentence(option.help)]
    if option.choices:
        said.append(f"One of: {', '.join(option.choices)}.")
    if option.required:
        said.append("[required]")
    elif option.shown_default:
        said.append(f"[default: {option.shown_default}]")
    return " ".join(said)


def _typed(value: Any) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _one(desk: Desk, given: Mapping[str, Any], *, as_json: bool) -> None:
    answer = desk.work_out(given)
    found_by = {n: v for n, v in given.items() if n not in desk.options}
    inputs = {**found_by, **answer.inputs}
    if as_json:
        from wellbook.present.answer_shapes import answer_json

        show_json(answer_json(desk.calculator, inputs, answer))
    else:
        from wellbook.present.answers import answer_lines
        from wellbook.present.screen import terminal_width

        show(answer_lines(desk.calculator, inputs, answer, terminal_width(sys.stdout)))


def _file(desk: Desk, file: CaseFile, fill: Mapping[str, Any], *, as_json: bool) -> int:
    """Every case of a file; 2 where one could not be worked out."""
    from wellbook.exchange.cases import worked_out
    from wellbook.plain_text import clean
    from wellbook.present.answer_shapes import case_cells, cases_json

    results = desk.calculator.results
    remarks = ("notes", "error")
    added = (*results, *remarks)
    asked = file.asked(results, remarks)
    columns = asked.columns(desk.columns, added, desk.calculator.beside)
    cases = worked_out(asked, columns, lambda said: desk.filled(said, fill), desk.work_out)
    used = {column.at for column in columns.values()}
    carried = [h for at, h in enumerate(asked.headers) if h and at not in used]
    done: list[Case] = []
    if as_json:
        done = list(cases)
        show_json(cases_json(desk.calculator, done))
    else:
        writer = csv.writer(sys.stdout, delimiter=file.delimiter, lineterminator="\n")
        writer.writerow(map(clean, asked.written_headers(added)))
        for case in cases:
            # What is carried along was written by anybody, and may be shown on a terminal.
            cells = case_cells(case, results)
            writer.writerow([clean(c) if isinstance(c, str) else c for c in cells])
            done.append(case)
    if carried:
        note(f"carried along, not used: {', '.join(carried)}")
    if asked is not file:
        note("the file has an answer already; it is worked out anew")
    wrong = [case for case in done if case.error]
    for case in wrong[:_SHOWN]:
        note(f"{file.name}:{case.row.number}: {case.error}")
    if wrong:
        more = f", {len(wrong) - _SHOWN} more than are named here" if len(wrong) > _SHOWN else ""
        note(f"{len(wrong)} of {len(done)} cases could not be worked out{more}")
    return 2 if wrong else 0
