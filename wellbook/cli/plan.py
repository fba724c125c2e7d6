"""`wellbook plan` and `wellbook check`: a string judged before it goes down, and while it hangs."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, WELL, one_day, prompt, session, show, show_json
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.hole.hole import Hole
    from wellbook.present.string_report import StringReport
    from wellbook.rules.duty import Duty
    from wellbook.rules.finding import Settings

app = typer.Typer(rich_markup_mode=None)


@app.command("check")
def check(
    ctx: typer.Context,
    well: list[str] = WELL,
    on: str = typer.Option("", "--on", metavar="DATE", help="As of a past day, as now known."),
    as_json: bool = JSON,
) -> None:
    """Judge what hangs there now: each number, its limit, the margin and the source.

    The exit status is 1 where a check fails, 0 where none does. What cannot be said is named with
    the fact that is missing.
    """
    from wellbook.present.string_report import report_now
    from wellbook.rules import catalogue
    from wellbook.store.holes import load_hole
    from wellbook.store.ledger import settings
    from wellbook.store.search import the_well

    here = session(ctx)
    day = one_day(on, "--on", here.today) if on else here.today
    if day > here.today:
        raise WellbookError(f"{day} lies ahead; the book knows the past", where="--on")
    with here.open().reading() as connection:
        hole = load_hole(connection, the_well(connection, " ".join(well))).on(day)
        shop = settings(connection)
    found = catalogue.checks(hole, shop)
    _tell(report_now(hole, found, _duties(hole, shop, day), day), as_json)


@app.command("plan")
def plan(
    ctx: typer.Context,
    well: list[str] = typer.Argument(
        ..., metavar="WELL [PLAN.toml]", help="A tag or words, and the file of a plan."
    ),
    pump: str = typer.Option("", "--pump", metavar="MODEL", help="A pump of the shop's list."),
    hp: str = typer.Option("", "--hp", help="Without a model: its motor, such as 3/4."),
    gpm: str = typer.Option("", "--gpm", metavar="GPM", help="Without a model: its rated flow."),
    depth: str = typer.Option("", "--depth", metavar="FT", help="Where the pump is to hang."),
    pipe: str = typer.Option(
        "",
        "--pipe",
        metavar="SECTIONS",
        help='From the top: "0-200 galvanized sch 40 1-1/4; 200-380 pe4710 SIDR 9 1".',
    ),
    rating: str = typer.Option("", "--rating", metavar="PSI", help="What is printed on the pipe."),
    joint: str = typer.Option("", "--joint", metavar="FT", help="Length of a joint of the pipe."),
    awg: str = typer.Option("", "--awg", metavar="GAUGE", help="The cable's gauge, such as 10."),
    conductors: str = typer.Option("", "--conductors", help="Its conductors, without the ground."),
    valves: str = typer.Option(
        "", "--valves", metavar="FT,...", help="Depths of check valves: 100,300."
    ),
    seal: str = typer.Option("", "--seal", metavar="MATERIAL", help="Of the seal or pitless."),
    cut_in: str = typer.Option("", "--cut-in", metavar="PSI", help="Where the switch starts it."),
    cut_out: str = typer.Option("", "--cut-out", metavar="PSI", help="Where the switch stops it."),
    setpoint: str = typer.Option(
        "", "--setpoint", metavar="PSI", help="In place of a switch: what a drive holds."
    ),
    ask: bool = typer.Option(False, "--ask", help="By short questions; Enter skips."),
    compare: bool = typer.Option(False, "--compare", help="Set it beside what hangs there now."),
    as_json: bool = JSON,
) -> None:
    """Judge a string before it goes down: the checks, what it gives, what to load, its weight.

    Nothing is written. A plan is a visit sheet with [set.pump], [[set.pipe]], [[set.cable]]: after
    the job the same file, with what was found, goes in by  wellbook visit WELL --from PLAN.toml
    The exit status is 1 where a check fails, 0 where none does.
    """
    from wellbook.present.string_report import report_planned
    from wellbook.rules import catalogue
    from wellbook.store.ledger import settings
    from wellbook.store.plans import hang
    from wellbook.store.search import the_well

    here = session(ctx)
    words, source = _well_and_file(well)
    options = {
        "pump": {"model": pump, "hp": hp, "rated_gpm": gpm, "set_depth_ft": depth},
        "pipe": {"sections": pipe, "rating_psi": rating, "joint_ft": joint},
        "cable": {"awg": awg, "conductors": conductors},
        "check_valve": {"depths": valves},
        "seal": {"material": seal},
        "switch": {"cut_in_psi": cut_in, "cut_out_psi": cut_out},
        "control": {"setpoint_psi": setpoint},
    }
    if ask:
        _ask(options)
    document = _read(source) if source else {}
    book = here.open()
    with _undone(book, source) as connection:
        number = the_well(connection, words)
        _merge(document, _document(connection, options))
        _same_well(connection, number, document)
        made = hang(connection, here.who, number, document, today=here.today)
        shop = settings(connection)
    before, after = made.before.on(here.today), made.after.on(here.today)
    report = report_planned(
        (before, catalogue.checks_of_a_plan(before, shop)),
        (after, catalogue.checks_of_a_plan(after, shop), _duties(after, shop, here.today)),
        here.today,
        compare=compare,
    )
    _tell(report, as_json)


def _duties(hole: Hole, shop: Settings, day: date) -> list[Duty]:
    from wellbook.rules.duty import duties
    from wellbook.rules.pressures import usual_cut_out

    return list(duties(hole.opened_up(), usual_cut_out(shop), day))


def _tell(report: StringReport, as_json: bool) -> None:
    from wellbook.terms import Verdict

    if as_json:
        from wellbook.present.string_json import report_json

        show_json(report_json(report))
    else:
        from wellbook.present.string_screen import render_report
        from wellbook.present.terminal import terminal_width

        show(render_report(report, terminal_width(sys.stdout)))
    if report.verdict is Verdict.FAIL:
        raise typer.Exit(1)


def _well_and_file(words: list[str]) -> tuple[str, str]:
    """The words of the well, and the plan's file where the last one names it."""
    if len(words) > 1 and words[-1].lower().endswith(".toml"):
        return " ".join(words[:-1]), words[-1]
    return " ".join(words), ""


def _read(source: str) -> dict[str, Any]:
    from wellbook.cli.recording import not_toml
    from wellbook.hole.sheet_text import plain_tables

    try:
        text = Path(source).read_bytes().decode("utf-8-sig")
        return plain_tables(text)
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=source) from None
    except UnicodeDecodeError:
        raise WellbookError("is not text in UTF-8", where=source) from None
    except (ValueError, RecursionError) as error:
        wrong = not_toml(error, text)
        place = f"{source}:{wrong.line}" if wrong.line else source
        raise WellbookError(wrong.message, where=place) from None


@contextmanager
def _undone(book: Any, source: str) -> Iterator[Connection]:
    """A transaction that is taken back, and what is wrong with the plan by its line."""
    from wellbook.cli.recording import rehearsed
    from wellbook.hole.sheet import SheetError
    from wellbook.hole.toml_lines import line_of

    try:
        with rehearsed(book, rehearse=True) as connection:
            yield connection
    except SheetError as error:
        text = Path(source).read_text("utf-8-sig") if source else ""
        lines = []
        for mistake in error.mistakes:
            line = line_of(text, mistake.path) if source else None
            option = _OPTIONS.get((mistake.path[1:2], mistake.path[-1]))
            place = f"{source}:{line}: {mistake.where}" if line else option or mistake.where
            lines.append(f"{place}: {mistake.message}")
        raise WellbookError("\n".join(lines)) from None


def _same_well(connection: Connection, number: int, data: dict[str, Any]) -> None:
    from wellbook.store.search import the_well

    named = data.get("well")
    if named and the_well(connection, str(named)) != number:
        raise WellbookError(f"the plan is for {named}, not for the well that was named")


_OPTIONS: dict[tuple[tuple[str | int, ...], str | int], str] = {
    (("pump",), "hp"): "--hp",
    (("pump",), "rated_gpm"): "--gpm",
    (("pump",), "set_depth_ft"): "--depth",
    (("pipe",), "rating_psi"): "--rating",
    (("pipe",), "joint_ft"): "--joint",
    (("cable",), "awg"): "--awg",
    (("cable",), "conductors"): "--conductors",
    (("check_valve",), "depth_ft"): "--valves",
    (("switch",), "cut_in_psi"): "--cut-in",
    (("switch",), "cut_out_psi"): "--cut-out",
    (("control",), "setpoint_psi"): "--setpoint",
}


# -- what the options say, as a sheet ------------------------------------------------------------


def _document(connection: Connection, options: dict[str, dict[str, str]]) -> dict[str, Any]:
    """The tables of a sheet that the options say."""
    from wellbook.store.pumps import the_pump

    parts: dict[str, Any] = {}
    pump = {k: v for k, v in options["pump"].items() if v}
    if "model" in pump:
        try:
            listed = the_pump(connection, pump["model"])
        except WellbookError as error:
            raise type(error)(error.message, where="--pump") from None
        pump = {**pump, "model": listed.model, **({"maker": listed.maker} if listed.maker else {})}
    if pump:
        # Of a model the list, and what hangs there, know the kind.
        parts["pump"] = pump if "model" in pump else {"type": "submersible", **pump}
    pipe = options["pipe"]
    if any(pipe.values()):
        parts["pipe"] = list(_pipe(pipe))
    cable = {k: v for k, v in options["cable"].items() if v}
    if cable:
        parts["cable"] = [{"ground_wire": True, "from_ft": 0, **cable}]
    if options["check_valve"]["depths"]:
        depths = options["check_valve"]["depths"].replace(";", ",").split(",")
        parts["check_valve"] = [{"depth_ft": d.strip()} for d in depths if d.strip()]
    for kind in ("seal", "switch"):
        said = {k: v for k, v in options[kind].items() if v}
        if said:
            parts[kind] = said
    if options["control"]["setpoint_psi"]:
        parts["control"] = {"type": "drive", **options["control"]}
    return {"set": parts} if parts else {}


def _pipe(said: dict[str, str]) -> Iterator[dict[str, Any]]:
    """The sections of the pipe; with a rating alone, one from the top to the pump."""
    from wellbook.calculators.hoist import Sections

    more = {k: v for k, v in said.items() if v and k != "sections"}
    if not said["sections"]:
        yield {"from_ft": 0, **more}
        return
    try:
        sections = Sections.parse(said["sections"]).sections
    except ValueError as error:
        raise WellbookError(str(error), where="--pipe") from None
    for one in sections:
        named = {"material": one.material, "wall": one.wall, "nominal_in": one.nominal}
        known = {k: v for k, v in named.items() if v}
        yield {"from_ft": one.from_ft, "to_ft": one.to_ft, **known, **more}


def _merge(document: dict[str, Any], more: dict[str, Any]) -> None:
    """What the options say counts before what the file says of the same field."""
    parts = document.setdefault("set", {})
    for kind, said in more.get("set", {}).items():
        old = parts.get(kind)
        parts[kind] = {**old, **said} if isinstance(old, dict) and isinstance(said, dict) else said
    if not parts:
        del document["set"]


_QUESTIONS = (
    ("pump", "model", "Pump, a model of the shop's list (Enter: by hp and flow)"),
    ("pump", "hp", "  its hp"),
    ("pump", "rated_gpm", "  its rated flow, gpm"),
    ("pump", "set_depth_ft", "  set at, ft"),
    ("pipe", "sections", "Pipe from the top, such as 0-300 pe4710 SIDR 7 1-1/4"),
    ("pipe", "rating_psi", "  its rating, psi, where it is printed"),
    ("pipe", "joint_ft", "  length of a joint, ft"),
    ("cable", "awg", "Cable, its gauge"),
    ("cable", "conductors", "  its conductors, without the ground"),
    ("check_valve", "depths", "Check valves at, ft"),
    ("seal", "material", "Seal or pitless, of"),
    ("switch", "cut_out_psi", "Switch, cut-out, psi"),
)


def _ask(options: dict[str, dict[str, str]], ask: Callable[[str], str] = prompt) -> None:
    """Ask for what no option said; Enter leaves it as it hangs."""
    for kind, field, question in _QUESTIONS:
        known_pump = kind == "pump" and options["pump"]["model"] and field in ("hp", "rated_gpm")
        if not options[kind][field] and not known_pump:
            options[kind][field] = ask(question).strip()
