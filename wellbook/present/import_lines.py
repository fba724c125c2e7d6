"""What a file would bring into the book, or has brought, as lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING

from wellbook.exchange.cells_joined import cell_text
from wellbook.exchange.deciding import CUSTOMER, DOUBT, EQUIPMENT, WELL
from wellbook.exchange.layout import REASON
from wellbook.exchange.mapping import places_of, unit_of
from wellbook.present.tables import table
from wellbook.present.text import plural

if TYPE_CHECKING:
    from rich.text import Text

    from wellbook.exchange.deciding import Question
    from wellbook.exchange.import_counts import Counts
    from wellbook.exchange.importing import Job
    from wellbook.exchange.rows_aside import RowsAside
    from wellbook.exchange.well_record import Remark
    from wellbook.store.rows import Record

Lines = list["Text | str"]
SHOWN = 20
_LONGEST = 24
_NAMED = 12
DONE = {EQUIPMENT: "kept as a note", WELL: "kept apart", CUSTOMER: "kept apart"}
"""What was done where nobody decided."""


def mapping_lines(job: Job, width: int | None) -> Lines:
    """What a file is, and what each of its columns is read as."""
    mapping, layout = job.mapping, job.layout
    whose = "the shop's own" if job.role == "ours" else "for reference"
    below = [r for r in layout.sample if tuple(c.strip() for c in r) != tuple(layout.headers)]
    rows = []
    for target, column in mapping.columns.items():
        places = places_of(column, job.header)
        values = (cell_text(r, places, target) for r in below)
        known = [value for value in values if value]
        unit = column.unit or (
            "unit?" if target in mapping.bare else "in cells" if unit_of(target) else ""
        )
        point = column.point.label if column.point else ""
        name = mapping.named(column)
        sample = ", ".join(_short(v) for v in dict.fromkeys(known[:3]))
        sure = f"{column.confidence:.0%} {column.why}".strip()
        rows.append([target, name, f"{unit} {point}".strip(), sure, sample])
    lines: Lines = [f"{job.path.name}: a list of {mapping.kind}, {whose} ({job.role_why})"]
    lines += table(["read as", "from", "unit", "sure", "such as"], rows, width)
    lines += [f"not read: {name}: {why}" for name, why in mapping.left_out]
    lines += _unread(job)
    lines += mapping.grounds.values()
    return lines


def _unread(job: Job) -> list[str]:
    """The columns of which nothing says what they are: what is in them would be lost unseen."""
    passed = {
        *(name for c in job.mapping.columns.values() for name in c.names),
        *(n for n, _ in job.mapping.left_out),
    }
    names = [h for h in dict.fromkeys(job.layout.headers) if h and h not in {*passed, REASON}]
    if not names or job.mapping.form == "vcard":
        return []
    more = f" and {len(names) - _NAMED:,} more" if len(names) > _NAMED else ""
    said = ", ".join(names[:_NAMED])
    return [f"not read: {said}{more}: not known what it is; --keep-mapping FILE lets you say it"]


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def count_lines(counts: Counts, written: bool) -> Iterator[str]:
    """What became of the rows, what they make, and what becomes of the roles of wells."""
    would = "" if written else "would be "
    records = f"{plural(counts.rows, 'row')}, {plural(counts.wells, 'well')}"
    skipped = f", skipped {counts.skipped:,}" if counts.skipped else ""
    yield (
        f"{records}: {would}written {counts.written:,}, changed {counts.changed:,};"
        f" unchanged {counts.unchanged:,}{skipped}, refused {counts.refused:,}"
    )
    made = (
        ("customer", counts.new_customers),
        ("property", counts.new_properties),
        ("well", counts.new_wells),
        ("sheet", counts.new_sheets),
        ("reading", counts.new_readings),
    )
    if some := ", ".join(plural(number, what) for what, number in made if number):
        yield f"new in the book{'' if written else ', if it is written'}: {some}"
    if counts.forgotten:
        yield (
            f"forgotten customers in {plural(counts.forgotten, 'row')}: whoever wished to be forgotten is"
            " left out, his well is not"
        )
    if counts.made_ours:
        yield (
            f"in the book for reference and {'now' if written else 'then'} the shop's own:"
            f" {plural(counts.made_ours, 'well')}"
        )
    if counts.stay_ours:
        yield (
            f"the shop's own in the book, and so they stay: {plural(counts.stay_ours, 'well')}; to give one"
            " up: wellbook well edit WELL --role reference"
        )


def noted_lines(aside: RowsAside, width: int | None, where: str, *, written: bool) -> Lines:
    """What is refused, doubtful, changed and to be decided: the first of each, and where the rest is.

    Parameters
    ----------
    where
        Says how all of it is seen.
    written
        Whether it was written: what nobody has decided is done by then.
    """
    lines = [*_remarks("refused", aside.refusals, width, where)]
    lines += _remarks("doubtful, but kept", aside.doubts, width, where)
    changes = [[str(c.row), c.what, c.field, c.old, c.new] for c in islice(aside.changes, SHOWN)]
    lines += _some(
        "what the source says otherwise now",
        ["row", "record", "field", "old", "new"],
        changes,
        aside.count("change"),
        width=width,
        where=where,
    )
    open_ = open_questions(aside)
    did = DONE if written else {}
    rows = [
        [q.number, q.rows, q.question, q.proposal, did.get(q.what, q.answers[0])]
        for q in open_[:SHOWN]
    ]
    lines += _some(
        "nobody decided, so it was done as the last column says" if written else "to be decided",
        ["number", "rows", "question", "proposal", "done" if written else "unless you decide"],
        rows,
        len(open_),
        width=width,
        where=where,
    )
    return lines


def open_questions(aside: RowsAside) -> list[Question]:
    """What nobody has decided on; of a doubtful cell it is told among the doubts."""
    return [q for q in aside.questions if not q.decision and q.what != DOUBT]


def undecided_lines(questions: Sequence[Question], again: str) -> Lines:
    """What can still be done about what was written undecided.

    Parameters
    ----------
    again
        The line that makes a file of decisions.
    """
    asked = {q.what for q in questions}
    lines: Lines = []
    if EQUIPMENT in asked:
        lines.append(
            f"to take what the text says of a pump: {again}, write 'take' behind it there, and give"
            " the same line once more with --write"
        )
    if asked & {WELL, CUSTOMER}:
        lines.append("to join what was kept apart and is one after all: wellbook doubles")
    return lines


def _remarks(what: str, remarks: Iterator[Remark], width: int | None, where: str) -> Lines:
    rows = [[str(x.row), x.column, x.value[:30], x.reason] for x in islice(remarks, SHOWN)]
    number = len(rows) + sum(1 for _ in remarks)
    return _some(what, ["row", "column", "value", "reason"], rows, number, width=width, where=where)


def _some(
    what: str,
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    number: int,
    *,
    width: int | None,
    where: str,
) -> Lines:
    if not rows:
        return []
    lines: Lines = ["", f"{what}: {number:,}", *table(head, rows, width)]
    if number > len(rows):
        lines.append(f"and {number - len(rows):,} more: {where}")
    return lines


def run_lines(runs: Iterable[Record], width: int | None) -> Lines:
    """All runs, each with its counts and whether it was taken back."""
    rows = [
        [
            str(r["id"]),
            r["at"][:10],
            r["file_name"],
            r["source"],
            *(f"{r[name]:,}" for name in ("rows", "written", "changed", "unchanged")),
            *(f"{r[name]:,}" for name in ("skipped", "refused")),
            f"taken back {r['undone_at'][:10]}" if r["undone_at"] else "",
        ]
        for r in runs
    ]
    head = ["run", "on", "file", "source", "rows", "written", "changed", "unchanged", "skipped"]
    return list(table([*head, "refused", ""], rows, width))
