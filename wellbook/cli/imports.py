"""`wellbook import`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, note, screen_width, session, show, show_json
from wellbook.errors import WellbookError
from wellbook.terms import Role

if TYPE_CHECKING:
    from wellbook.exchange.layout import Layout
    from wellbook.exchange.mapping import WellMapping
    from wellbook.exchange.well_import import Counts
    from wellbook.exchange.well_record import Remark

app = typer.Typer(rich_markup_mode=None, help="Bring well records in from a CSV file.")
_SHOWN = 20

_FILE = typer.Argument(..., metavar="FILE.csv", help="Parted by commas, tabs or ;.")
_ROLE = typer.Option(
    Role.REFERENCE, "--as", help="Public records for reference (new wells), or the shop's own."
)
_MAPPING = typer.Option(
    None, "--mapping", help="Which column is what: a TOML file made by --keep-mapping."
)
_KEEP = typer.Option(None, "--keep-mapping", help="Write the mapping to a file, to be edited.")
_REJECTS = typer.Option(None, "--rejects", help="Write refused rows there, with the reason.")


@app.callback()
def imports() -> None:
    """Bring records in from a file."""


@app.command("wells")
def wells(
    ctx: typer.Context,
    file: Path = _FILE,
    role: Role = _ROLE,
    mapping_file: Path | None = _MAPPING,
    keep: Path | None = _KEEP,
    unit: str = typer.Option("", "--unit", help="ft or m, where headers name no unit."),
    rejects: Path | None = _REJECTS,
    dry_run: bool = typer.Option(
        False, "--dry-run", help="Show what would be done; write nothing."
    ),
    as_json: bool = JSON,
) -> None:
    """Bring well records in. The same file twice adds nothing; a changed record is changed.

    Good rows are written, bad ones refused with their reason. Rows of one well are joined, and
    counted by what became of that well; where two contradict each other the newer date is kept,
    else the first, and both are shown. What is down the hole becomes an opening sheet.

    How dates and decimals are read is taken from the whole file and shown with the row that tells;
    where none does, a date is kept as uncertain between two days, until the mapping says.

    Two files of one source (its wells, its casings) speak of the same wells where their mapping
    files bear the same source.
    """
    from wellbook.cli.recording import rehearsed
    from wellbook.exchange import reading
    from wellbook.exchange.mapping_file import to_toml
    from wellbook.exchange.proposing import propose
    from wellbook.exchange.rows_aside import RowsAside
    from wellbook.exchange.surveying import survey
    from wellbook.exchange.well_clerk import Clerk
    from wellbook.exchange.well_import import import_wells
    from wellbook.present.envelope import envelope

    now = session(ctx)
    if unit not in ("", "ft", "m"):
        raise WellbookError("'ft' or 'm' is wanted", where="--unit")
    layout = reading.look(file)
    mapping = _load_mapping(mapping_file) if mapping_file else propose(layout, file.stem)
    mapping = mapping.with_unit(unit) if unit else mapping
    header = reading.header_of(file, mapping)
    mapping = survey(file, mapping, header)
    if not as_json:
        _show_mapping(mapping, layout)
    if keep is not None:
        used = {c.name for c in mapping.columns.values()}
        text = to_toml(mapping, [h for h in layout.headers if h and h not in used])
        _keep(keep, text)
    mapping.check()
    clerk = Clerk(mapping, header, now.today)
    with RowsAside() as aside:
        aside.put((clerk.key(row.cells), row) for row in reading.data_rows(file, mapping))
        with rehearsed(now.open(), dry_run) as connection:
            counts = import_wells(
                connection,
                aside,
                clerk,
                who=now.who,
                file_name=file.name,
                role=role,
                today=now.today,
            )
            if rejects is not None:
                reading.write_refused(rejects, file, mapping, header, aside.refused())
        if as_json:
            refusals = [asdict(x) for x in aside.refusals]
            doubts = [asdict(x) for x in aside.doubts]
            said = {**asdict(counts), "doubtful": len(doubts), "refusals": refusals}
            said |= {"doubts": doubts, "grounds": dict(mapping.grounds)}
            show_json(envelope("wellbook.import", 1, **said))
            return
        show(["", *_told(counts, dry_run)])
        _show_remarks("refused", aside.refusals)
        _show_remarks("doubtful, but kept", aside.doubts)
    if counts.refused and rejects is None:
        note("--rejects FILE keeps the refused rows, each with its reason")


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


def _told(counts: Counts, dry_run: bool) -> Iterator[str]:
    """What became of the rows, and of the roles of wells."""
    would = "would be " if dry_run else ""
    yield (
        f"{counts.rows:,} rows, {counts.wells:,} wells:"
        f" {would}written {counts.written:,}, changed {counts.changed:,};"
        f" unchanged {counts.unchanged:,}, refused {counts.refused:,}"
    )
    if counts.made_ours:
        yield (
            f"{counts.made_ours:,} wells in the book for reference"
            f" {'would become' if dry_run else 'are now'} the shop's own"
        )
    if counts.stay_ours:
        yield (
            f"{counts.stay_ours:,} wells in the book as the shop's own stay so; to give one up:"
            " wellbook well edit WELL --role reference"
        )


def _show_mapping(mapping: WellMapping, layout: Layout) -> None:
    from wellbook.exchange.mapping import index_of, unit_of
    from wellbook.present.tables import table

    lines = []
    for target, column in mapping.columns.items():
        n = index_of(column, layout.headers if mapping.header_row else ())
        values = [r[n].strip() for r in layout.sample if n < len(r) and r[n].strip()]
        known = [v for v in values if v.upper() not in ("NA", "N/A")] or values
        unit = column.unit or ("unit?" if unit_of(target) else "")
        point = column.point.label if column.point else ""
        name = column.name if mapping.header_row else f"column {column.name}"
        sample = ", ".join(v if len(v) <= 24 else v[:23] + "…" for v in known[:3])
        lines.append([target, name, f"{unit} {point}".strip(), sample])
    show(table(["read as", "from", "unit", "such as"], lines, screen_width()))
    show([f"not read: {name}: {why}" for name, why in mapping.left_out])
    show(mapping.grounds.values())


def _show_remarks(what: str, remarks: Iterator[Remark]) -> None:
    from wellbook.present.tables import table

    rows = [[str(x.row), x.column, x.value[:30], x.reason] for x in islice(remarks, _SHOWN)]
    if not rows:
        return
    more = sum(1 for _ in remarks)
    show(["", f"{what}: {len(rows) + more:,}"])
    show(table(["row", "column", "value", "reason"], rows, screen_width()))
    if more:
        show([f"and {more:,} more"])


def _keep(path: Path, text: str) -> None:
    try:
        # An edited mapping is somebody's work: it is never written over.
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise WellbookError("there is such a file already", where=str(path)) from None
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be written", where=str(path)) from None
    note(f"the mapping is kept in {path}")
