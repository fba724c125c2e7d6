"""`wellbook draw`."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import typer

from wellbook.cli.session import note, past_day, session, show, write_file
from wellbook.errors import WellbookError

app = typer.Typer(rich_markup_mode=None)
OTHER_DRAWINGS = (".png", ".pdf", ".jpg", ".jpeg", ".gif", ".dxf", ".eps", ".txt")


@app.command("draw")
def draw(
    ctx: typer.Context,
    words: list[str] = typer.Argument(
        ...,
        metavar="WELL [OUT.svg]",
        help="A tag, or any words that single the well out; and the file to draw into.",
    ),
    on: str = typer.Option("", "--on", metavar="DATE", help="As of a past day, as now known."),
) -> None:
    """The hole to scale, with how deep its pipe may hang and its pump can lift from.

    On the screen; or, where a file is named, into it as a vector drawing for paper.
    """
    from wellbook.present.cross_section import cross_section
    from wellbook.rules.pressures import usual_cut_out
    from wellbook.rules.reach import reach_of
    from wellbook.store.holes import load_hole
    from wellbook.store.settings import settings
    from wellbook.store.the_well import the_well

    well, file = _well_and_file(words)
    here = session(ctx)
    day = past_day(on, here.today)
    with here.open().reading() as connection:
        hole = load_hole(connection, the_well(connection, well)).on(day)
        usual_psi = usual_cut_out(settings(connection))
    section = cross_section(hole, reach_of(hole, usual_psi), day)
    if file is None:
        from wellbook.present.hole_screen import draw_screen
        from wellbook.present.screen import terminal_width

        show(draw_screen(section, terminal_width(sys.stdout)))
        return
    from wellbook.present.hole_drawing import svg_of

    write_file(file, svg_of(section))
    note(f"{hole.tag} is drawn in {file}")


def _well_and_file(words: list[str]) -> tuple[str, Path | None]:
    """The words of the well, and the file where the last of them is the name of one."""
    *rest, last = words
    suffix = Path(last).suffix.lower()
    if suffix in OTHER_DRAWINGS:
        raise WellbookError(f"'{last}' is no name of a drawing; end it in .svg", where="OUT.svg")
    if suffix != ".svg":
        return " ".join(words), None
    if not rest:
        raise WellbookError(
            f"say which well is to be drawn; such as: wellbook draw TF-0031 {shlex.quote(last)}",
            where="WELL",
        )
    return " ".join(rest), Path(last)
