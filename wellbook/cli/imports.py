"""`wellbook import`."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, note, session, show, show_json
from wellbook.errors import WellbookError
from wellbook.terms import Role

if TYPE_CHECKING:
    from wellbook.exchange.mapping import Layout, WellMapping
    from wellbook.exchange.wells_csv import Remark, Row

app = typer.Typer(rich_markup_mode=None, help="Bring well records in from a CSV file.")
_SHOWN = 20

_FILE = typer.Argument(..., metavar="FILE.csv", help="Parted by commas, tabs or ;.")
_ROLE = typer.Option(
    Role.REFERENCE, "--as", help="Public records for reference, or the shop's own wells."
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
    counted by what became of that well.
    """
    from wellbook.exchange import wells_csv
    from wellbook.exchange.mapping import load_mapping, propose, to_toml
    from wellbook.exchange.well_import import import_wells, plan
    from wellbook.present.json_shapes import envelope

    now = session(ctx)
    if unit not in ("", "ft", "m"):
        raise WellbookError("'ft' or 'm' is wanted", where="--unit")
    layout = wells_csv.look(file)
    mapping = load_mapping(mapping_file) if mapping_file else propose(layout, file.stem)
    mapping = mapping.with_unit(unit) if unit else mapping
    if not as_json:
        _show_mapping(mapping, layout)
    if keep is not None:
        used = {c.name for c in mapping.columns.values()}
        text = to_toml(mapping, [h for h in layout.headers if h not in used])
        _keep(keep, text)
    mapping.check()
    rows = list(wells_csv.read_rows(file, mapping, now.today))
    refused = [r for r in rows if r.record is None]
    if rejects is not None:
        _write_rejects(rejects, file, wells_csv.header_of(file, mapping), refused, mapping)
    doubts = [d for r in rows for d in r.doubts if r.record is not None]
    records = wells_csv.gather(rows)
    book = now.open()
    if dry_run:
        with book.reading() as connection:
            counts = plan(connection, mapping.source, records).counts(len(refused))
    else:
        prefix = mapping.prefix
        with book.writing() as connection:
            counts = import_wells(
                connection,
                records,
                who=now.who,
                source=mapping.source,
                file_name=file.name,
                role=role,
                prefix=prefix if prefix is not None else "R-" if role is Role.REFERENCE else "",
                refused=len(refused),
                today=now.today,
            )
    remarks = [x for r in refused for x in r.refusals]
    if as_json:
        shown = [asdict(x) for x in remarks]
        show_json(envelope("wellbook.import", 1, **counts, doubtful=len(doubts), refusals=shown))
        return
    would = "would be " if dry_run else ""
    show(
        [
            "",
            f"{counts['rows']:,} rows, {len(records):,} wells:"
            f" {would}written {counts['written']:,}, changed {counts['changed']:,};"
            f" unchanged {counts['unchanged']:,}, refused {counts['refused']:,}",
        ]
    )
    _show_remarks("refused", remarks)
    _show_remarks("doubtful, but kept", doubts)
    if refused and rejects is None:
        note("--rejects FILE keeps the refused rows, each with its reason")


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
    show(table(["read as", "from", "unit", "such as"], lines))
    show([f"not read: {name}: {why}" for name, why in mapping.left_out])


def _show_remarks(what: str, remarks: Sequence[Remark]) -> None:
    from wellbook.present.tables import table

    if not remarks:
        return
    rows = [[str(x.row), x.column, x.value[:30], x.reason] for x in remarks[:_SHOWN]]
    show(["", f"{what}: {len(remarks):,}"])
    show(table(["row", "column", "value", "reason"], rows))
    if len(remarks) > _SHOWN:
        show([f"and {len(remarks) - _SHOWN:,} more"])


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


def _write_rejects(
    path: Path, source: Path, header: tuple[str, ...], rows: Iterable[Row], mapping: WellMapping
) -> None:
    """The refused rows as they stood, with a column for the reason."""
    if path.exists() and path.samefile(source):
        raise WellbookError("that is the file that is read", where="--rejects")
    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, delimiter=mapping.delimiter)
            if header:
                writer.writerow([*header, "reason"])
            for row in rows:
                blanks = [""] * (len(header) - len(row.cells))
                reason = "; ".join(f"{x.column}: {x.reason}" for x in row.refusals)
                writer.writerow([*row.cells, *blanks, reason])
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be written", where=str(path)) from None
