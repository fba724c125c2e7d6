"""`wellbook sample`."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import (
    JSON,
    WELL,
    screen_width,
    session,
    show,
    show_json,
    uncertain,
)
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.hole.records import Sample
    from wellbook.hole.sheet import SheetError
    from wellbook.rules.finding import Finding
    from wellbook.store.sheets import Recording

app = typer.Typer(rich_markup_mode=None, help="Water samples: add results, list the years.")

OF_WATER = ("samples-owed", "water-figures")
"""The rules that speak of what was found in a water."""


@app.command("add")
def add(
    ctx: typer.Context,
    words: list[str] = typer.Argument(
        ...,
        metavar="WELL ANALYTE=VALUE...",
        help="bacteria=absent, nitrate=4.1, 'iron=<0.05 mg/L', lead='12 ug/L', NO3-N=ND.",
    ),
    taken: str = typer.Option("", "--taken", metavar="DATE", help="When it was taken (today)."),
    laboratory: str = typer.Option("", "--laboratory", help="Which laboratory tested it."),
    note: str = typer.Option("", "--note", help="What else to know of it."),
    dry_run: bool = typer.Option(False, "--dry-run", help="Show it, and write nothing."),
    as_json: bool = JSON,
) -> None:
    """Record what was found, and compare it with the published figures.

    A number without a unit is in mg/L (uranium ug/L, PFOA ng/L, radium pCi/L). '< 0.5', ND, ppb,
    'as NO3', gpg are read as they stand on the report; put quotes round < and blanks.
    """
    from wellbook.cli.recording import rehearsed
    from wellbook.hole.sheet import SheetError
    from wellbook.store.sheets import record
    from wellbook.store.the_well import the_well

    here = session(ctx)
    well = " ".join(w for w in words if "=" not in w)
    results, typed = _results([w for w in words if "=" in w])
    if not well or not results:
        missing = "a result, such as nitrate=4.1" if well else "the well, such as TF-0031"
        raise WellbookError(f"say {missing}; see: wellbook sample add --help")
    sample = {**results, "laboratory": laboratory, "note": note}
    data = {**_day(taken, here.today, sample), "reason": "water_sample", "sample": sample}
    with rehearsed(here.open(), dry_run) as connection:
        number = the_well(connection, well)
        try:
            made = record(connection, here.who, number, data, today=here.today)
        except SheetError as error:
            raise _in_words(error, typed) from None
        owed = _owed(connection, number, here.today)
    _tell(made, owed, here.today, as_json=as_json, dry_run=dry_run)


def _results(given: list[str]) -> tuple[dict[str, str], dict[str, str]]:
    """The results by their words in a sheet, and what was typed for each word."""
    from wellbook.engineering.analytes import plain_name, the_analyte
    from wellbook.hole.water_results import bacteria_told

    table: dict[str, str] = {}
    typed: dict[str, str] = {}
    for one in given:
        name, _, value = (part.strip() for part in one.partition("="))
        if not name or not value:
            raise WellbookError(f"'{one}' is not ANALYTE=VALUE, such as nitrate=4.1")
        word = _BACTERIA.get(plain_name(name))
        try:
            word = word or the_analyte(name).word
        except ValueError as error:
            raise WellbookError(str(error)) from None
        if word in table:
            twice = f"{name} stands there twice"
            other = f"{typed[word]} and {name} are the same"
            raise WellbookError(f"{twice if typed[word] == name else other}; give it once")
        table[word], typed[word] = value, name
    coliform, ecoli = table.pop("bacteria", ""), table.pop("ecoli", "")
    if coliform or ecoli:
        try:
            table["bacteria"] = bacteria_told(coliform, ecoli)
        except ValueError as error:
            raise WellbookError(str(error), where=typed["ecoli"]) from None
        typed.setdefault("bacteria", typed.get("ecoli", ""))
    return table, typed


_BACTERIA = {
    **dict.fromkeys(
        ("bacteria", "coliform", "coliforms", "totalcoliform", "totalcoliforms"), "bacteria"
    ),
    **dict.fromkeys(("ecoli", "escherichiacoli"), "ecoli"),
}


def _day(taken: str, today: date, sample: dict[str, str]) -> dict[str, str]:
    """The day of the sheet: that on which it was taken; today, where that is not one day."""
    when = uncertain(taken, "--taken", today) if taken else None
    if when is not None and when.exact and when.earliest is not None:
        return {"date": when.earliest.isoformat()}
    if when is not None:
        sample["taken_on"] = taken
    return {"date": today.isoformat()}


def _in_words(error: SheetError, typed: dict[str, str]) -> WellbookError:
    """What is wrong, a line each, with the words that were typed for its place."""
    lines = []
    for mistake in error.mistakes:
        word = str(mistake.path[-1]) if mistake.path else ""
        lines.append(f"{typed.get(word, mistake.where)}: {mistake.message}")
    return WellbookError(*lines)


def _owed(connection: Connection, number: int, today: date) -> list[Finding]:
    """What the well's water owes, now or after a wait; not what the shop keeps silent there."""
    from wellbook.store.ledger import ledger_of
    from wellbook.store.silences import silences

    silent = silences(connection, [number], today)
    return [
        f
        for f in ledger_of(connection, number)
        if f.rule in OF_WATER
        and (f.until is None or f.until > today)
        and (number, f.rule) not in silent
    ]


def _tell(
    made: Recording, owed: list[Finding], today: date, *, as_json: bool, dry_run: bool
) -> None:
    from wellbook.present.water_lines import sample_json, sample_lines

    old = {s.uid for s in made.before.samples}
    (sample,) = (s for s in made.after.samples if s.uid not in old)
    if as_json:
        from wellbook.present.envelope import envelope
        from wellbook.present.json_shapes import due_json

        show_json(
            envelope(
                "wellbook.sample",
                1,
                well=made.after.tag,
                visit=None if dry_run else made.number,
                written=not dry_run,
                sample=sample_json(made.after, sample),
                due=[due_json(made.after.tag, f) for f in owed],
            )
        )
        return
    done = "nothing was written; this would be" if dry_run else f"visit {made.number} is recorded:"
    by = f", {sample.laboratory}" if sample.laboratory else ""
    head = f"{made.after.tag}: {done} the sample of {sample.taken_on}{by}"
    show([head, *_twice(made, sample)])
    show(sample_lines(made.after, sample, owed, today, screen_width()))


def _twice(made: Recording, sample: Sample) -> list[str]:
    """A line where a sample of that day was on record already."""
    same = [s for s in made.before.samples if s.taken_on == sample.taken_on]
    numbers = {v.uid: v.number for v in made.before.visits}
    if not same or same[-1].sheet_uid not in numbers:
        return []
    number = numbers[same[-1].sheet_uid]
    return [
        f"  a sample of {sample.taken_on} was on record already (visit {number}); if it is the same,"
        f" take this one out: wellbook withdraw, and fill in that one: wellbook correct {number}"
    ]


@app.command("list")
def list_all(ctx: typer.Context, well: list[str] = WELL, as_json: bool = JSON) -> None:
    """All results over the years, with figures and trends."""
    from wellbook.present.envelope import envelope
    from wellbook.present.water_lines import in_order, sample_json, trends_json, years_lines
    from wellbook.store.holes import load_hole
    from wellbook.store.the_well import the_well

    with session(ctx).open().reading() as connection:
        hole = load_hole(connection, the_well(connection, " ".join(well)))
    samples = in_order(hole)
    if as_json:
        listed = [sample_json(hole, s) for s in reversed(samples)]
        trends = trends_json(hole)
        show_json(envelope("wellbook.samples", 1, well=hole.tag, samples=listed, trends=trends))
        return
    if not samples:
        raise NotFoundError(
            f"no result of a water sample is on record for {hole.tag};"
            f" add one: wellbook sample add {hole.tag} bacteria=absent nitrate=4.1"
        )
    show([f"{hole.tag}: water samples, the newest first", *years_lines(hole, screen_width())])
