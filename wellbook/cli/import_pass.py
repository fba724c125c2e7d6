"""One file on its way into the book, as the command shows it: what is offered next, what is asked."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wellbook.cli.session import Session, note, prompt, screen_width, show
from wellbook.terms import Role

if TYPE_CHECKING:
    from wellbook.exchange.deciding import Decisions, Question
    from wellbook.exchange.importing import Job, Outcome
    from wellbook.exchange.mapping import WellMapping


@dataclass(frozen=True)
class Asked:
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


@dataclass(frozen=True)
class Passed:
    """What a pass told: the answer in JSON, what nobody decided, and whether nothing is new; and the
    last line of the change log that it saw."""

    answer: dict[str, Any]
    questions: list[Question]
    nothing_new: bool
    seen: int


def pass_over(
    now: Session,
    job: Job,
    asked: Asked,
    decisions: Decisions,
    *,
    write: bool,
    asking: bool,
    seen: int | None = None,
) -> Passed:
    """One pass over a file: written, or rehearsed and undone, and told of.

    Parameters
    ----------
    asking
        Whether somebody at the keyboard is asked afterwards.
    seen
        The last line of the change log that a look saw by which somebody decided; None for no such
        look.

    Raises
    ------
    ChangedSince
        If another wrote into the book since that look.
    """
    from wellbook.cli.meanwhile import ChangedSince
    from wellbook.cli.recording import rehearsed
    from wellbook.exchange import reading
    from wellbook.exchange.deciding import write_questions
    from wellbook.exchange.importing import brought_in
    from wellbook.present.import_lines import open_questions
    from wellbook.present.text import plural
    from wellbook.store.meanwhile import last_number

    with _progress() as (begin, progress), rehearsed(now.open(), not write) as connection:
        last = last_number(connection)
        if seen is not None and last != seen:
            raise ChangedSince(
                ["another wrote into the book while this was decided; it is looked at anew"]
            )
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
                note(f"to be decided in {asked.decisions}: {plural(number, 'question')}")
            questions = open_questions(outcome.aside)
            nothing_new = outcome.counts.nothing_new
            answer = _answer(job, outcome, write) if asked.as_json else {}
            lines = [] if asked.as_json else _lines(job, outcome, asked, write, asking)
    # What is said to be written is written by now.
    show(lines)
    if decisions.unasked:
        note(f"{plural(decisions.unasked, 'decision')} on no question that this file still asks")
    return Passed(answer, questions, nothing_new, last)


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


def _lines(job: Job, outcome: Outcome, asked: Asked, write: bool, asking: bool) -> list[Any]:
    from wellbook.present.import_lines import (
        count_lines,
        noted_lines,
        open_questions,
        undecided_lines,
    )

    command = ["wellbook", "import", str(job.path), *asked.words]
    where = f"{shlex.join([*command, '--json'])} lists all"
    counts = outcome.counts
    lines: list[Any] = ["", *count_lines(counts, write)]
    lines += noted_lines(outcome.aside, screen_width(), where, written=write)
    closing: list[Any] = []
    if counts.refused and asked.rejects is None:
        bad = str(_place_for(job.path, f"-refused{job.path.suffix}"))
        again = shlex.join([*command, "--rejects", bad])
        closing.append(f"refused rows into a file, to be mended: {again}")
    if asked.decisions is None:
        to_decide = str(_place_for(job.path, "-decisions.csv"))
        command_to_decide = shlex.join([*command, "--decisions", to_decide])
    else:
        command_to_decide = shlex.join(command)
    if write:
        closing += undecided_lines(open_questions(outcome.aside), command_to_decide)
    elif outcome.aside.count("question") and asked.decisions is None:
        closing.append(f"to decide row by row: {command_to_decide}")
    if counts.nothing_new:
        all_there = counts.unchanged == counts.rows
        beside = "the book has all of it" if all_there else "beside what is refused or skipped"
        closing.append(f"nothing in this file is new, {beside}")
    elif write:
        closing.append(
            f"this is run {counts.run}; to take it back: wellbook import undo {counts.run}"
        )
    elif not asking:
        closing.append(f"nothing was written; to write it: {shlex.join([*command, '--write'])}")
    return [*lines, "", *closing]


def _place_for(path: Path, tail: str) -> Path:
    """Where a file about another is offered: beside it, or where one is, if it is on a stick that is
    read only."""
    folders = (path.parent, Path(), Path.home())
    folder = next((f for f in folders if os.access(f, os.W_OK | os.X_OK)), path.parent)
    return folder / f"{path.stem}{tail}"


def ask(questions: list[Question]) -> dict[str, str]:
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
