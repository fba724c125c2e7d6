"""`wellbook pump`."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import (
    JSON,
    note,
    read_option,
    screen_width,
    session,
    show,
    show_json,
    show_list,
    taking,
    write_file,
)
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.engineering.curves import HeadCurve
    from wellbook.exchange.pump_file import PumpFile
    from wellbook.hole.records import PumpModel
    from wellbook.rules.duty import Meeting

app = typer.Typer(
    rich_markup_mode=None, help="Pump models with their curves: add, list, show, edit."
)
MODEL = typer.Argument(
    ..., metavar="MODEL", help="Any words of maker and model that single it out."
)
FIELDS: dict[str, tuple[Any, Any]] = {
    "maker": (str, typer.Option(None, "--maker", help="Who makes it.")),
    "hp": (str, typer.Option(None, "--hp", help="Its motor: 3/4, 0.75, 550 W.")),
    "rated_gpm": (
        str,
        typer.Option(None, "--rated-gpm", metavar="GPM", help="The flow that it is sold for."),
    ),
    "points": (
        str,
        typer.Option(
            None,
            "--points",
            metavar="GPM:FT,...",
            help='Its curve by points: "0:330, 5:300, 10:230".',
        ),
    ),
    "file": (
        str,
        typer.Option(
            None,
            "--from",
            metavar="FILE.csv",
            help="Its curve from a file: columns gpm and head_ft, or flow_l_min and head_m;"
            " maker, model, hp, rated_gpm where there are several models.",
        ),
    ),
    "service_factor": (
        str,
        typer.Option(None, "--service-factor", help="1.5: may be loaded half above its rating."),
    ),
    "service_factor_a": (
        str,
        typer.Option(None, "--service-factor-a", metavar="AMPS", help="Amperes at that load."),
    ),
    "supply_v": (str, typer.Option(None, "--volts", metavar="V", help="What it is made for.")),
    "phases": (str, typer.Option(None, "--phases", metavar="1|3", help="One, or three.")),
    "notes": (str, typer.Option(None, "--notes", help="What else to know of it.")),
}


@app.command("add")
@taking(FIELDS)
def add(
    ctx: typer.Context,
    model: str = typer.Argument("", metavar="[MODEL]", help="As its plate says; see --from."),
    **given: Any,
) -> None:
    """Put a pump model, or a whole file of them, into the shop's list."""
    from wellbook.hole.records import PumpModel
    from wellbook.store.pump_writing import add_pumps
    from wellbook.store.pumps import hangs_in

    facts = {k: v for k, v in _facts({**given, "model": model or None}).items() if _says(v)}
    _no_points_beside(given)
    file = _file(given)
    typed = () if file else (PumpModel(**_all_there(facts), curve=_points(given)),)
    models = file.models(**facts) if file else typed
    here = session(ctx)
    with _named_as_given(facts, file), here.open().writing() as connection:
        made = add_pumps(connection, here.who, models)
        wells = hangs_in(connection)
    lines = [f"pump {m.name} is in the list{_in_wells(wells.get(m, []))}" for m in made]
    show([*lines, f"Next: wellbook pump show {shlex.join(made[0].name.split())}"])


@app.command("edit")
@taking(FIELDS)
def edit(
    ctx: typer.Context,
    words: list[str] = MODEL,
    model: str = typer.Option(None, "--model", help="Another name of the model."),
    **given: Any,
) -> None:
    """Change a pump model. New points take the place of all it had; an empty value removes a fact."""
    from dataclasses import replace

    from wellbook.store.pump_writing import edit_pump
    from wellbook.store.pumps import hangs_in, the_pump

    facts = _facts({**given, "model": model})
    if not facts and given["points"] is None and not given["file"]:
        raise WellbookError("nothing to change; see: wellbook pump edit --help")
    _no_points_beside(given)
    file = _file(given)
    here = session(ctx)
    with _named_as_given(facts, file), here.open().writing() as connection:
        old = the_pump(connection, " ".join(words))
        new = replace(old, **facts)
        if file is not None:
            new = replace(new, curve=file.the_curve(new))
        elif given["points"] is not None:
            new = replace(new, curve=_points(given))
        differed = edit_pump(connection, here.who, old, new)
        new = the_pump(connection, new.name)
        wells = hangs_in(connection).get(new, [])
    changed = f"pump {new.name} is changed{_in_wells(wells)}"
    show([changed if differed else f"pump {new.name} is so already"])


@app.command("show")
def show_one(
    ctx: typer.Context,
    words: list[str] = MODEL,
    svg: Path = typer.Option(
        None, "--svg", metavar="FILE.svg", help="Draw the curve into a file, for paper."
    ),
    well: str = typer.Option(
        "", "--well", metavar="WELL", help="Against what this well and its plumbing ask for."
    ),
    as_json: bool = JSON,
) -> None:
    """A pump model, its curve drawn, and the wells where it hangs."""
    from wellbook.present.curve_drawing import svg_of
    from wellbook.present.curve_screen import draw_curve
    from wellbook.present.envelope import envelope
    from wellbook.present.pump_lines import pump_json, pump_lines, pump_plot
    from wellbook.store.pumps import hangs_in, the_pump

    if svg is not None and svg.suffix.lower() != ".svg":
        raise WellbookError(f"'{svg}' is no name of a drawing; end it in .svg", where="--svg")
    with session(ctx).open().reading() as connection:
        model = the_pump(connection, " ".join(words))
        wells = hangs_in(connection).get(model, [])
        at = _in_the_well(connection, model, well, session(ctx).today) if well else None
    plot = pump_plot(model, at)
    if svg is not None and plot is None:
        raise WellbookError(f"{model.name} has no points to draw a curve by", where="--svg")
    if svg is not None and plot is not None:
        write_file(svg, svg_of(plot))
        note(f"the curve of {model.name} is drawn in {svg}")
    if as_json:
        show_json(envelope("wellbook.pump", 1, pump=pump_json(model, wells, at)))
        return
    drawn = draw_curve(plot, screen_width() or 100) if plot is not None else []
    show([*pump_lines(model, wells, at), *([""] if drawn else []), *drawn])


def _in_the_well(connection: Connection, model: PumpModel, words: str, today: date) -> Meeting:
    """Where the pump's curve meets what a well asks for."""
    from wellbook.rules.duty import meeting
    from wellbook.rules.pressures import usual_cut_out
    from wellbook.store.holes import load_hole
    from wellbook.store.settings import settings
    from wellbook.store.the_well import the_well

    if model.curve is None:
        raise WellbookError(f"{model.name} has no points to meet a well's curve", where="--well")
    hole = load_hole(connection, the_well(connection, words))
    usual = usual_cut_out(settings(connection))
    found = meeting(hole.opened_up(), model.curve, usual, today)
    if found is None:
        raise WellbookError(
            f"the water level of {hole.tag} is not on record, so what it asks for is not known",
            where="--well",
        )
    return found


@app.command("list")
def list_all(
    ctx: typer.Context,
    words: list[str] = typer.Argument(None, metavar="[WORDS...]"),
    as_json: bool = JSON,
) -> None:
    """Pump models by maker, with where each hangs."""
    from wellbook.present.pump_lines import pump_json, pump_row
    from wellbook.store.pumps import all_models, hangs_in

    with session(ctx).open().reading() as connection:
        models = all_models(connection, " ".join(words or []))
        wells = hangs_in(connection)
    shape = pump_json if as_json else pump_row
    columns = {
        "maker": "maker",
        "model": "model",
        "hp": "hp",
        "rated": "rated",
        "head there": "head",
        "shut-off": "shut_off",
        "ends at": "ends",
        "wells": "wells",
    }
    rows = [shape(model, wells.get(model, [])) for model in models]
    show_list("pumps", rows, columns, as_json=as_json)


# -- what was given ----------------------------------------------------------------------------


_UNITS = {
    **{"hp": "hp", "rated_gpm": "gpm", "service_factor": ""},
    **{"service_factor_a": "a", "supply_v": "v"},
}


def _facts(given: dict[str, Any]) -> dict[str, Any]:
    """The fields of a model that were given; an empty one is None, or, of words, empty."""
    from wellbook.quantities import read

    found: dict[str, Any] = {
        k: given[k].strip() for k in ("maker", "model", "notes") if given[k] is not None
    }
    readers: dict[str, Callable[[str], float]] = {
        **{name: partial(read, unit=unit) for name, unit in _UNITS.items()},
        "phases": _phases,
    }
    for name, reader in readers.items():
        text = given[name]
        if text is not None:
            said = partial(reader, text)
            found[name] = read_option(said, _flag(name)) if text.strip() else None
    return found


def _says(value: Any) -> bool:
    return value not in (None, "")


def _flag(name: str) -> str:
    return {"supply_v": "--volts"}.get(name, f"--{name.replace('_', '-')}")


def _phases(text: str) -> int:
    if text.strip() not in ("1", "3"):
        raise ValueError(f"'{text}' cannot be; write 1 or 3")
    return int(text)


def _all_there(facts: dict[str, Any]) -> dict[str, Any]:
    missing = [_flag(name) for name in ("maker", "hp", "rated_gpm") if name not in facts]
    if "model" not in facts:
        raise WellbookError(
            "name the model, or give a file; such as: wellbook pump add O-507 --maker Oskerby"
            ' --hp 3/4 --rated-gpm 5 --points "0:510, 5:370, 7:244"',
            where="MODEL",
        )
    if missing:
        raise WellbookError("missing; a pump model has it", where=", ".join(missing))
    return facts


@contextmanager
def _named_as_given(facts: dict[str, Any], file: PumpFile | None) -> Iterator[None]:
    """Name what will not do as its giver knows it: by the option, or by the row of the file."""
    from wellbook.store.pump_writing import UnfitModelError

    try:
        yield
    except UnfitModelError as error:
        typed = file is None or error.field in facts
        where = _flag(error.field) if typed and error.field else ""
        if file is not None and not typed:
            where = file.place(error.model, error.field)
        raise WellbookError(error.message, where=where) from None


def _no_points_beside(given: dict[str, Any]) -> None:
    if given["points"] is not None and given["file"]:
        raise WellbookError("points are given or are in a file: give one", where="--points")


def _points(given: dict[str, Any]) -> HeadCurve | None:
    from wellbook.engineering.curves import HeadCurve

    text = given["points"] or ""
    return read_option(partial(HeadCurve.parse, text), "--points") if text.strip() else None


def _file(given: dict[str, Any]) -> PumpFile | None:
    """The file that is given, with a word on what of it is not taken."""
    from wellbook.exchange.pump_file import read_pump_file

    if not given["file"]:
        return None
    file = read_pump_file(Path(given["file"]))
    if file.not_taken:
        note(f"columns that say nothing here: {', '.join(file.not_taken)}")
    return file


def _in_wells(tags: list[str]) -> str:
    from wellbook.present.pump_lines import few

    return f"; it hangs in {few(tags)}" if tags else ""
