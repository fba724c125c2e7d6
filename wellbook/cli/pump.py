"""`wellbook pump`."""

from __future__ import annotations

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
)
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.engineering.curves import HeadCurve
    from wellbook.hole.records import PumpModel
    from wellbook.rules.duty import Meeting

app = typer.Typer(
    rich_markup_mode=None, help="Pump models with their curves: add, list, show, edit."
)
MODEL = typer.Argument(
    ..., metavar="MODEL", help="Any words of maker and model that single it out."
)
FIELDS: dict[str, tuple[Any, Any]] = {
    "maker": (str, typer.Option("", "--maker", help="Who makes it.")),
    "hp": (str, typer.Option("", "--hp", help="Its motor: 3/4, 0.75, 550 W.")),
    "rated_gpm": (
        str,
        typer.Option("", "--rated-gpm", metavar="GPM", help="The flow that it is sold for."),
    ),
    "points": (
        str,
        typer.Option(
            "",
            "--points",
            metavar="GPM:FT,...",
            help='Its curve by points: "0:330, 5:300, 10:230".',
        ),
    ),
    "file": (
        Path,
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
        typer.Option("", "--service-factor", help="1.5: may be loaded half above its rating."),
    ),
    "service_factor_a": (
        str,
        typer.Option("", "--service-factor-a", metavar="AMPS", help="Amperes at that load."),
    ),
    "supply_v": (str, typer.Option("", "--volts", metavar="V", help="What it is made for.")),
    "phases": (str, typer.Option("", "--phases", metavar="1|3", help="One, or three.")),
    "notes": (str, typer.Option("", "--notes", help="What else to know of it.")),
}


@app.command("add")
@taking(FIELDS)
def add(
    ctx: typer.Context,
    model: str = typer.Argument("", metavar="[MODEL]", help="As its plate says; see --from."),
    **given: Any,
) -> None:
    """Put a pump model, or a whole file of them, into the shop's list."""
    from wellbook.exchange.pump_file import read_pump_file
    from wellbook.hole.records import PumpModel
    from wellbook.store.pump_writing import add_pumps
    from wellbook.store.pumps import hangs_in

    facts = _facts({**given, "model": model})
    if given["file"] is not None:
        _no_points_beside(given)
        file = read_pump_file(given["file"])
        models = file.models(**facts)
        _say_not_taken(file.not_taken)
    else:
        models = [PumpModel(**_all_there(facts), curve=_points(given))]
    here = session(ctx)
    with here.open().writing() as connection:
        made = add_pumps(connection, here.who, models)
        wells = hangs_in(connection)
    lines = [f"pump {m.name} is in the list{_in_wells(wells.get(m, []))}" for m in made]
    show([*lines, f"Next: wellbook pump show {made[0].name}"])


@app.command("edit")
@taking(FIELDS)
def edit(
    ctx: typer.Context,
    words: list[str] = MODEL,
    model: str = typer.Option("", "--model", help="Another name of the model."),
    **given: Any,
) -> None:
    """Change a pump model; new points take the place of all it had."""
    from dataclasses import replace

    from wellbook.store.pump_writing import edit_pump
    from wellbook.store.pumps import hangs_in, the_pump

    facts = _facts({**given, "model": model})
    if not facts and not given["points"] and given["file"] is None:
        raise WellbookError("nothing to change; see: wellbook pump edit --help")
    _no_points_beside(given)
    here = session(ctx)
    with here.open().writing() as connection:
        old = the_pump(connection, " ".join(words))
        new = replace(old, **facts)
        if given["points"] or given["file"] is not None:
            new = replace(new, curve=_points(given) or _curve_from(given["file"], new))
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
    from wellbook.present.json_shapes import envelope
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
        svg.write_text(svg_of(plot), encoding="utf-8")
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
    from wellbook.store.ledger import settings
    from wellbook.store.search import the_well

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


def _facts(given: dict[str, Any]) -> dict[str, Any]:
    """The fields of a model that were given."""
    from wellbook.quantities import read

    found: dict[str, Any] = {k: given[k] for k in ("maker", "model", "notes") if given[k].strip()}
    for name, unit in (("hp", "hp"), ("rated_gpm", "gpm"), ("service_factor", "")):
        if given[name]:
            found[name] = read_option(partial(read, given[name], unit), _flag(name))
    for name, unit in (("service_factor_a", "a"), ("supply_v", "v")):
        if given[name]:
            found[name] = read_option(partial(read, given[name], unit), _flag(name))
    if given["phases"]:
        found["phases"] = read_option(partial(_phases, given["phases"]), "--phases")
    return found


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


def _no_points_beside(given: dict[str, Any]) -> None:
    if given["points"] and given["file"] is not None:
        raise WellbookError("points are given or are in a file: give one", where="--points")


def _points(given: dict[str, Any]) -> HeadCurve | None:
    from wellbook.engineering.curves import HeadCurve

    if not given["points"]:
        return None
    try:
        return HeadCurve.parse(given["points"])
    except ValueError as error:
        raise WellbookError(str(error).removeprefix("points: "), where="--points") from None


def _curve_from(path: Path, model: PumpModel) -> HeadCurve | None:
    """The curve of one model from a file that may have several."""
    from wellbook.exchange.pump_file import read_pump_file

    file = read_pump_file(path)
    _say_not_taken(file.not_taken)
    return file.the_curve(model)


def _say_not_taken(headers: tuple[str, ...]) -> None:
    if headers:
        note(f"columns that say nothing here: {', '.join(headers)}")


def _in_wells(tags: list[str]) -> str:
    from wellbook.present.pump_lines import few

    return f"; it hangs in {few(tags)}" if tags else ""
