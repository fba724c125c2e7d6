"""What somebody has to decide on before records come in, and what was decided.

A question has a number that follows from what it asks of, so that it is the same question when the file
comes again, in whatever order. What was decided is kept with the source; a file of decisions, or an
answer at the keyboard, counts before that.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, delete, insert, select

from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store.rows import batches

EQUIPMENT, WELL, CUSTOMER, DOUBT = "equipment", "well", "customer", "doubt"
ANSWERS: dict[str, tuple[str, ...]] = {
    EQUIPMENT: ("leave", "take"),
    WELL: ("keep", "join", "skip"),
    CUSTOMER: ("keep", "join", "skip"),
    DOUBT: ("keep", "skip"),
}
"""What can be decided, by what is asked; the first is what holds where nothing is."""
COLUMNS = ("number", "rows", "what", "question", "proposal", "decision")
"""The columns of a file of decisions."""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to decide. `rows` are those of the file that it is about, in words."""

    number: str
    rows: str
    what: str
    question: str
    proposal: str
    decision: str = ""

    @property
    def answers(self) -> tuple[str, ...]:
        """What can be decided; of a well, `join` names one by its tag."""
        return ANSWERS[self.what]


def number_of(what: str, *content: object) -> str:
    """The number of a question, from what it asks of.

    >>> number_of("doubt", "7", "zero") == number_of("doubt", "7", "zero")
    True
    """
    text = "\x1f".join((what, *map(str, content)))
    # A letter first, so that no spreadsheet takes it for a number ("12345e67").
    return "q" + hashlib.sha256(text.encode()).hexdigest()[:9]


class Decisions:
    """What was decided before, in a file and at the keyboard, on questions of one source."""

    def __init__(self, given: Mapping[str, str] | None = None) -> None:
        self.given = dict(given or {})
        self.kept: dict[str, str] = {}
        self.asked: set[str] = set()

    def load(self, connection: Connection, source: str) -> None:
        """What the book keeps of the source."""
        table = t.import_answer
        rows = connection.execute(
            select(table.c.number, table.c.answer).where(table.c.source == source)
        )
        self.kept = {row.number: row.answer for row in rows}

    def on(self, number: str) -> str:
        """What was decided on a question; "" where nothing was."""
        if number in self.given:
            self.asked.add(number)
            return self.given[number]
        return self.kept.get(number, "")

    def keep(self, connection: Connection, source: str, run_id: int) -> None:
        """Write down what was decided now on what was asked."""
        new = {n: a for n, a in self.given.items() if n in self.asked and self.kept.get(n) != a}
        table = t.import_answer
        for some in batches(sorted(new)):
            mine = (table.c.source == source) & table.c.number.in_(some)
            connection.execute(delete(table).where(mine))
            rows = [
                {"source": source, "number": n, "answer": new[n], "run_id": run_id} for n in some
            ]
            connection.execute(insert(table), rows)

    @property
    def unasked(self) -> int:
        """How many decisions were given that no question of the file asks for."""
        return len(self.given.keys() - self.asked)


def checked(what: str, decision: str) -> str:
    """A decision as it is kept; "" for none.

    Raises
    ------
    ValueError
        If it cannot be decided so; with what can be.

    >>> checked("well", "JOIN mc-0042"), checked("doubt", "")
    ('join MC-0042', '')
    >>> checked("customer", "join Ann Lee")
    'join'
    """
    word, _, more = decision.strip().partition(" ")
    word = word.lower()
    if not word:
        return ""
    if what == WELL and word == "join" and more.strip():
        return f"join {more.strip().upper()}"
    if what == CUSTOMER and word == "join":
        # The proposal, copied as it stands, names him: there is but the one.
        return word
    if word not in ANSWERS[what] or more.strip():
        shown = ", ".join("join TAG" if (what, a) == (WELL, "join") else a for a in ANSWERS[what])
        raise ValueError(f"'{decision}' cannot be decided here; one of: {shown}")
    return word


def read_decisions(path: Path) -> dict[str, str]:
    """The decisions of a file that a look has made and somebody has filled in.

    Raises
    ------
    WellbookError
        With the row and what is wrong in it. Nothing is taken from such a file.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            head = file.read(4096)
            file.seek(0)
            sign = max(",;\t", key=(head.splitlines() or [""])[0].count)
            return dict(_decided(csv.reader(file, delimiter=sign, strict=True), str(path)))
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    except UnicodeDecodeError:
        raise WellbookError("it is not UTF-8 text; save it as CSV UTF-8", where=str(path)) from None
    except csv.Error as error:
        raise WellbookError(f"no table of decisions: {error}", where=str(path)) from None


def _decided(rows: Iterable[list[str]], where: str) -> Iterator[tuple[str, str]]:
    seen: dict[str, str] = {}
    places: dict[str, int] = {}
    for n, cells in enumerate(rows, start=1):
        if not any(cell.strip() for cell in cells):
            continue
        if not places:
            places = {name.strip().lower(): at for at, name in enumerate(cells)}
            missing = [c for c in ("number", "what", "decision") if c not in places]
            if missing:
                raise WellbookError(
                    f"the first row names the columns {', '.join(COLUMNS)};"
                    f" without {', '.join(missing)} nothing can be read",
                    where=f"{where}:{n}",
                )
            continue
        number, what, decision = (
            cells[places[c]].strip() if places[c] < len(cells) else ""
            for c in ("number", "what", "decision")
        )
        if what not in ANSWERS:
            raise WellbookError(
                f"'{what}' is none of: {', '.join(ANSWERS)}", where=f"{where}:{n}: what"
            )
        try:
            said = checked(what, decision)
        except ValueError as error:
            raise WellbookError(str(error), where=f"{where}:{n}: decision") from None
        if seen.setdefault(number, said) != said:
            raise WellbookError(
                f"question {number} is decided twice: '{seen[number]}' and '{said}'",
                where=f"{where}:{n}",
            )
        if said:
            yield number, said


def write_questions(path: Path, questions: Iterable[Question]) -> int:
    """Write a file of decisions to be filled in; how many questions it has.

    Raises
    ------
    WellbookError
        If there is such a file, or it cannot be written.
    """
    count = 0
    try:
        # A spreadsheet program takes a text for UTF-8 by its mark only.
        with path.open("x", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(COLUMNS)
            for q in questions:
                count += 1
                cells = (q.number, q.rows, q.what, q.question, q.proposal, q.decision)
                writer.writerow([_inert(cell) for cell in cells])
    except FileExistsError:
        raise WellbookError("there is such a file already", where=str(path)) from None
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be written", where=str(path)) from None
    return count


def _inert(cell: str) -> str:
    """A cell that no spreadsheet program takes for a formula."""
    return f"'{cell}" if cell[:1] in "=+-@\t\r" and cell[:1] else cell
