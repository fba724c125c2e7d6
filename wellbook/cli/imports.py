"""`wellbook import`."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer
from typer.core import TyperGroup

from wellbook.cli.session import (
    JSON,
    Session,
    can_ask,
    choose,
    note,
    prompt,
    screen_width,
    session,
    show,
    show_json,
)
from wellbook.errors import WellbookError
from wellbook.terms import Role

if TYPE_CHECKING:
    from wellbook.exchange.deciding import Question
    from wellbook.exchange.importing import Job, Outcome
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


@dataclass(frozen=True)
class _Asked:
    """What the line says of the files."""

    role: Role | None
    mapping: WellMapping | None
    unit: str
    sheet: str
    source: str
    keep: Path | None
    rejects: Path | None
    decisions: Path | None
    as_json: bool
    words: tuple[str, ...]


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
    asked = _Asked(
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


def _bring(now: Session, path: Path, asked: _Asked, write: bool) -> dict[str, Any]:
    """Look at one file, or write it."""
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
    answer, questions = _pass(now, job, asked, Decisions(given), write, asking)
    if not asking:
        return answer
    given |= _ask(questions)
    if choose("Write it?") == "yes":
        answer, _ = _pass(now, job, asked, Decisions(given), True, False)
    return answer


def _pass(
    now: Session, job: Job, asked: _Asked, decisions: Any, write: bool, asking: bool
) -> tuple[dict[str, Any], list[Question]]:
    """One pass over a file: written, or rehearsed and undone, and told of."""
    from wellbook.cli.recording import rehearsed
    from wellbook.exchange import reading
    from wellbook.exchange.deciding import write_questions
    from wellbook.exchange.importing import brought_in

    questions: list[Question] = []
    with _progress() as (begin, progress), rehearsed(now.open(), not write) as connection:
        bringing = brought_in(
            connection,
            job,
            who=now.who,
            today=now.today,
            decisions=decisions,
            begin=begin,
            progress=progress,
        )
        with bringing as outcome:
            if asked.rejects is not None and (write or not asking):
                reading.write_refused(
                    asked.rejects, job.path, job.mapping, job.header, outcome.aside.refused()
                )
            if asked.decisions is not None and not asked.decisions.exists():
                number = write_questions(asked.decisions, outcome.aside.questions)
                note(f"{number:,} questions are in {asked.decisions}, to be decided there")
            if asking:
                questions = [
                    q for q in outcome.aside.questions if not q.decision and q.what != "doubt"
                ]
            answer = _answer(job, outcome, write) if asked.as_json else {}
            lines = [] if asked.as_json else _lines(job, outcome, asked, write, asking)
    # What is said to be written is written by now.
    show(lines)
    if decisions.unasked:
        note(f"{decisions.unasked:,} decisions are on no question of this file")
    return answer, questions


def _answer(job: Job, outcome: Outcome, write: bool) -> dict[str, Any]:
    counts, aside = outcome.counts, outcome.aside
    doubts = [asdict(x) for x in aside.doubts]
    columns = {
        target: {
            "column": c.name,
            "more": list(c.more),
            "unit": c.unit,
            "confidence": c.confidence,
            "why": c.why,
        }
        for target, c in job.mapping.columns.items()
    }
    return {
        "file": str(job.path),
        "kind": job.mapping.kind,
        "source": job.mapping.source,
        "role": job.role.value,
        "wrote": write,
        "columns": columns,
        **asdict(counts),
        "run": counts.run if write else None,
        "doubtful": len(doubts),
        "refusals": [asdict(x) for x in aside.refusals],
        "doubts": doubts,
        "changes": [asdict(x) for x in aside.changes],
        "questions": [asdict(q) for q in aside.questions],
        "grounds": dict(job.mapping.grounds),
    }


def _lines(job: Job, outcome: Outcome, asked: _Asked, write: bool, asking: bool) -> list[Any]:
    from wellbook.present.import_lines import count_lines, noted_lines

    command = ["wellbook", "import", str(job.path), *asked.words]
    where = f"{shlex.join([*command, '--json'])} lists all"
    counts = outcome.counts
    lines: list[Any] = ["", *count_lines(counts, write)]
    lines += noted_lines(outcome.aside, screen_width(), where)
    closing = []
    if counts.refused and asked.rejects is None:
        bad = str(job.path.with_name(f"{job.path.stem}-refused{job.path.suffix}"))
        again = shlex.join([*command, "--rejects", bad])
        closing.append(f"refused rows into a file, to be mended: {again}")
    if outcome.aside.count("question") and asked.decisions is None and not write:
        book = str(job.path.with_name(f"{job.path.stem}-decisions.csv"))
        closing.append(f"to decide row by row: {shlex.join([*command, '--decisions', book])}")
    if write:
        closing.append(
            f"this is run {counts.run}; to take it back: wellbook import undo {counts.run}"
        )
    elif not asking:
        closing.append(f"nothing was written; to write it: {shlex.join([*command, '--write'])}")
    return [*lines, "", *closing]


def _ask(questions: list[Question]) -> dict[str, str]:
    """What somebody at the keyboard decides, question by question."""
    from wellbook.exchange.deciding import checked

    given: dict[str, str] = {}
    if questions:
        show(["", "Enter leaves a question as it stands; 'stop' leaves all that follow."])
    for n, q in enumerate(questions, start=1):
        show([f"{n} of {len(questions)}, rows {q.rows}: {q.question}", f"  {q.proposal}"])
        while True:
            said = prompt(f"{' / '.join(q.answers)} ({q.answers[0]})").strip()
            if said.lower() == "stop":
                return given
            near = [a for a in q.answers if said and a.startswith(said.lower())]
            try:
                decision = checked(q.what, near[0] if len(near) == 1 else said)
            except ValueError as error:
                note(str(error))
                continue
            if decision:
                given[q.number] = decision
            break
    return given


@contextmanager
def _progress() -> Iterator[tuple[Callable[[int], None], Callable[[int], None]]]:
    """A bar on standard error, on a terminal only: told how many rows there are, then how many are
    done."""
    if not sys.stderr.isatty():
        yield (lambda _: None), (lambda _: None)
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("rows", total=None)
        yield (
            lambda total: bar.update(task, total=total),
            lambda done: bar.update(task, completed=done),
        )


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

    now = session(ctx)
    with now.open().writing() as connection:
        run = undo(connection, now.who, number)
    if as_json:
        show_json(envelope("wellbook.import_undo", 1, run=number, file=run["file_name"]))
        return
    show([f"run {number} ({run['file_name']}) is taken back: {run['rows']:,} rows"])


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
