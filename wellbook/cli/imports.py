"""`wellbook import`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer
from typer.core import TyperGroup

from wellbook.cli.import_pass import Asked, ask, pass_over
from wellbook.cli.session import (
    JSON,
    Session,
    can_ask,
    choose,
    note,
    screen_width,
    session,
    show,
    show_json,
)
from wellbook.errors import WellbookError
from wellbook.terms import Role

if TYPE_CHECKING:
    from wellbook.exchange.importing import Job
    from wellbook.exchange.mapping import WellMapping


class FileGroup(TyperGroup):
    """A first word that is no command is a file, or an option that stands before one."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """The words of the line, with the command that brings files in where none is named."""
        known = {*self.commands, "--help", "-h"}
        if args and args[0] not in known:
            args = [_FILES, *args]
        return super().parse_args(ctx, args)


_FILES = "files"
app = typer.Typer(
    cls=FileGroup,
    rich_markup_mode=None,
    no_args_is_help=True,
    help="Bring records in from files. wellbook import FILE shows what would come in.",
)

_PATHS = typer.Argument(
    ..., metavar="FILE...", help="CSV, a workbook, contacts; or a folder of an export."
)
_WRITE = typer.Option(False, "--write", help="Write it; without this, it is only looked at.")
_ROLE = typer.Option(
    None, "--as", help="The shop's own records, or public ones for reference (new wells)."
)
_MAPPING = typer.Option(
    None, "--mapping", help="Which column is what: a TOML file made by --keep-mapping."
)
_KEEP = typer.Option(None, "--keep-mapping", help="Write the mapping to a file, to be edited.")
_DECISIONS = typer.Option(
    None, "--decisions", help="What was decided; made, to be filled in, where it is not there."
)
_REJECTS = typer.Option(
    None, "--rejects", help="Write refused rows there, with the reason: mend, import it again."
)


@app.callback()
def imports() -> None:
    """Bring records in from files: look, decide, write.

    wellbook import FILE shows what would come in; with --write it does (wellbook import files --help).
    """


@app.command(_FILES)
def files(
    ctx: typer.Context,
    paths: list[Path] = _PATHS,
    write: bool = _WRITE,
    role: Role | None = _ROLE,
    mapping_file: Path | None = _MAPPING,
    keep: Path | None = _KEEP,
    decisions: Path | None = _DECISIONS,
    rejects: Path | None = _REJECTS,
    sheet: str = typer.Option("", "--sheet", help="Which sheet of a workbook."),
    unit: str = typer.Option("", "--unit", help="ft or m, where headers name no unit."),
    source: str = typer.Option("", "--source", help="Whose records they are, where not plain."),
    as_json: bool = JSON,
) -> None:
    """Bring records in: customers, properties, wells, what hangs in them, visits.

    First it is looked at: what each column is read as, what would come in, what is doubtful or refused
    by row and column, what is to be decided; of records that are known what would change. With --write
    it is written, each file in one transaction; wellbook import undo takes it back. The same file twice
    adds nothing, and what you changed by hand since is never written over.
    """
    now = session(ctx)
    if unit not in ("", "ft", "m"):
        raise WellbookError("'ft' or 'm' is wanted", where="--unit")
    single = {"--keep-mapping": keep, "--rejects": rejects, "--decisions": decisions}
    for option, value in single.items():
        if value is not None and len(paths) > 1:
            raise WellbookError("give it with one file at a time", where=option)
    said = {"--as": role, "--mapping": mapping_file, "--sheet": sheet, "--unit": unit}
    said |= {"--source": source, "--decisions": decisions}
    words = [word for option, value in said.items() if value for word in (option, str(value))]
    asked = Asked(
        role=role,
        mapping=_load_mapping(mapping_file) if mapping_file else None,
        unit=unit,
        sheet=sheet,
        source=source,
        keep=keep,
        rejects=rejects,
        decisions=decisions,
        as_json=as_json,
        words=tuple(words),
    )
    for path in paths:
        if path.name == "datapackage.json":
            raise WellbookError(
                f"it describes an export; name its folder: wellbook import {path.parent}",
                where=str(path),
            )
    if any(path.is_dir() for path in paths):
        from wellbook.cli.packages import take_package

        if len(paths) > 1:
            raise WellbookError("an export is brought in by itself", where=str(paths[0]))
        take_package(now, paths[0], as_json=as_json)
        return
    answers = []
    for path in paths:
        answers.append(_bring(now, path, asked, write))
        if len(paths) > 1 and not as_json:
            show([""])
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.import", 2, files=answers))


def _bring(now: Session, path: Path, asked: Asked, write: bool) -> dict[str, Any]:
    """Look at one file, or write it."""
    from wellbook.cli.meanwhile import ChangedSince
    from wellbook.exchange.deciding import Decisions, read_decisions
    from wellbook.exchange.importing import prepare
    from wellbook.present.import_lines import mapping_lines

    job = prepare(
        path,
        now.open(),
        mapping=asked.mapping,
        sheet=asked.sheet,
        unit=asked.unit,
        source=asked.source,
        role=asked.role,
        today=now.today,
    )
    if not asked.as_json:
        show(mapping_lines(job, screen_width()))
    if asked.keep is not None:
        _keep_mapping(asked.keep, job)
    there = asked.decisions is not None and asked.decisions.exists()
    given = read_decisions(asked.decisions) if there and asked.decisions else {}
    if write and asked.decisions is not None and not there:
        raise WellbookError(
            "there is no such file; without --write it is made", where=str(asked.decisions)
        )
    asking = not write and not asked.as_json and can_ask()
    passed = pass_over(now, job, asked, Decisions(given), write=write, asking=asking)
    if not asking:
        return passed.answer
    decided: dict[str, str] = {}
    known: set[str] = set()
    while True:
        decided |= ask([q for q in passed.questions if q.number not in known])
        known |= {q.number for q in passed.questions}
        if not (decided or not passed.nothing_new) or choose("Write it?") == "no":
            return passed.answer
        decisions = Decisions({**given, **decided})
        try:
            made = pass_over(now, job, asked, decisions, write=True, asking=False, seen=passed.seen)
            return made.answer
        except ChangedSince as error:
            for line in error.news:
                note(line)
            passed = pass_over(now, job, asked, decisions, write=False, asking=True)


@app.command("runs")
def list_runs(ctx: typer.Context, as_json: bool = JSON) -> None:
    """Every file that was brought in, newest first, and whether it was taken back."""
    from wellbook.exchange.undoing import runs
    from wellbook.present.envelope import envelope
    from wellbook.present.import_lines import run_lines

    with session(ctx).open().reading() as connection:
        found = runs(connection)
    if as_json:
        named = ("id", "at", "who", "file_name", "source", "rows", "written", "unchanged")
        more = ("changed", "skipped", "refused", "undone_at")
        listed = [{name: r[name] for name in (*named, *more)} for r in found]
        show_json(envelope("wellbook.import_runs", 1, runs=listed))
        return
    show(run_lines(found, screen_width()) if found else ["nothing was brought in yet"])


@app.command("undo")
def undo_run(
    ctx: typer.Context,
    number: int = typer.Argument(..., metavar="RUN", help="Its number: wellbook import runs."),
    as_json: bool = JSON,
) -> None:
    """Take a run back whole, while nothing has been built on it: what it changed is as it was."""
    from wellbook.exchange.undoing import undo
    from wellbook.present.envelope import envelope
    from wellbook.present.text import plural

    now = session(ctx)
    with now.open().writing() as connection:
        run = undo(connection, now.who, number)
    if as_json:
        show_json(envelope("wellbook.import_undo", 1, run=number, file=run["file_name"]))
        return
    show([f"run {number} ({run['file_name']}) is taken back: {plural(run['rows'], 'row')}"])


def _load_mapping(path: Path) -> WellMapping:
    from wellbook.cli.recording import not_toml
    from wellbook.exchange.mapping_file import from_toml

    try:
        text = path.read_text(encoding="utf-8-sig")
        return from_toml(text, str(path))
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    except UnicodeDecodeError:
        raise WellbookError("it is not UTF-8 text", where=str(path)) from None
    except (ValueError, RecursionError) as error:
        wrong = not_toml(error, text)
        where = f"{path}:{wrong.line}" if wrong.line else str(path)
        raise WellbookError(wrong.message, where=where) from None


def _keep_mapping(path: Path, job: Job) -> None:
    from wellbook.exchange.mapping_file import to_toml

    used = {name for c in job.mapping.columns.values() for name in c.names}
    text = to_toml(job.mapping, [h for h in job.layout.headers if h and h not in used])
    try:
        # An edited mapping is somebody's work: it is never written over.
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise WellbookError("there is such a file already", where=str(path)) from None
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be written", where=str(path)) from None
    note(f"the mapping is kept in {path}")
