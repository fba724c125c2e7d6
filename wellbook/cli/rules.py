"""`wellbook rules`: what there is, why, by which numbers; changing and silencing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import (
    JSON,
    can_ask,
    choose,
    one_day,
    screen_width,
    session,
    show,
    show_json,
)
from wellbook.errors import NothingWritten, WellbookError

if TYPE_CHECKING:
    from wellbook.rules.finding import Settings

app = typer.Typer(
    rich_markup_mode=None, help="The rules, their numbers and sources; change or silence them."
)


@app.callback(invoke_without_command=True)
def rules(ctx: typer.Context, as_json: bool = JSON) -> None:
    """List the rules with their numbers; a star marks a number that the shop has changed."""
    if ctx.invoked_subcommand:
        return
    from wellbook.present.rule_lines import rule_json, rule_title
    from wellbook.rules.catalogue import RULES

    shop = _settings(ctx)
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.rules", 1, rules=[rule_json(r, shop) for r in RULES]))
        return
    from wellbook.present.tables import table

    rows = [[r.name, rule_title(r, shop)] for r in RULES]
    show(table(["rule", "what it looks for, and by which numbers"], rows, screen_width()))
    show(["", "Why, and where the numbers are from: wellbook rules explain RULE"])


@app.command("explain")
def explain(
    ctx: typer.Context,
    rule: str = typer.Argument(..., metavar="RULE"),
    as_json: bool = JSON,
) -> None:
    """Why a rule is there, its numbers, and the source of each."""
    from wellbook.present.rule_lines import rule_json, rule_lines
    from wellbook.rules.catalogue import the_rule

    found, shop = the_rule(rule), _settings(ctx)
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.rule", 1, rule=rule_json(found, shop)))
    else:
        show(rule_lines(found, shop))


@app.command("set", context_settings={"ignore_unknown_options": True})
def set_number(
    ctx: typer.Context,
    name: str = typer.Argument(..., metavar="RULE.NUMBER"),
    value: str = typer.Argument(..., metavar="VALUE", help='"default" takes your own away.'),
    yes: bool = typer.Option(False, "--yes", help="Do not ask before writing."),
    dry_run: bool = typer.Option(False, "--dry-run", help="Only show which wells it adds, drops."),
    as_json: bool = JSON,
) -> None:
    """Change a number of a rule, after seeing which wells that adds and drops."""
    from wellbook.cli.meanwhile import writing_over
    from wellbook.store.judging import preview
    from wellbook.store.renewal import save_settings
    from wellbook.store.settings import settings, with_setting

    here = session(ctx)
    book = here.open()
    with book.reading() as connection:
        before = settings(connection)
        proposed = with_setting(before, name, value)
        seen = preview(connection, proposed, on=here.today)
    if not as_json:
        show(_preview_lines(seen.added, seen.dropped))
    asked = not dry_run and not yes and not as_json
    if asked:
        if not can_ask():
            raise WellbookError("nobody is there to ask; add --yes to write, or --dry-run")
        if choose("Write it?") == "no":
            raise NothingWritten("you said no; nothing was written")
    if not dry_run:
        with writing_over(book) as connection:
            now = settings(connection)
            if asked and now.changed != before.changed:
                raise WellbookError(
                    "another changed the numbers while you looked, so that other wells are added and"
                    f" dropped than were shown; nothing was written; look anew: wellbook rules set {name}"
                    f" {value}"
                )
            proposed = with_setting(now, name, value)
            save_settings(connection, here.who, proposed, as_kept=True)
    if as_json:
        from wellbook.present.envelope import envelope
        from wellbook.present.json_shapes import due_json

        shape: dict[str, Any] = {
            "added": [due_json(tag, f) for tag, f in seen.added],
            "dropped": [due_json(tag, f) for tag, f in seen.dropped],
            "written": not dry_run,
        }
        show_json(envelope("wellbook.rules.set", 1, **shape))
    else:
        show(["nothing was written" if dry_run else f"{name} is now {value}"])


@app.command("silence")
def silence(
    ctx: typer.Context,
    rule: str = typer.Argument(..., metavar="RULE"),
    well: list[str] = typer.Argument(..., metavar="WELL"),
    because: str = typer.Option(..., "--because", help="Why; others will read it."),
    until: str = typer.Option("", "--until", metavar="DATE", help="When it speaks again."),
) -> None:
    """Keep a rule silent for one well, with the reason, until a day or for good."""
    from wellbook.rules.catalogue import the_rule
    from wellbook.store import silences
    from wellbook.store.the_well import the_well

    here, found = session(ctx), the_rule(rule)
    end = one_day(until, "--until", here.today) if until else None
    with here.open().writing() as connection:
        number = the_well(connection, " ".join(well))
        silences.silence(
            connection, here.who, number, found, reason=because, today=here.today, until=end
        )
    show([f"{found.name} is silent there {f'until {end}' if end else 'for good'}: {because}"])


@app.command("unsilence")
def unsilence(
    ctx: typer.Context,
    rule: str = typer.Argument(..., metavar="RULE"),
    well: list[str] = typer.Argument(..., metavar="WELL"),
) -> None:
    """Let a rule speak again for one well."""
    from wellbook.errors import NotFoundError
    from wellbook.rules.catalogue import the_rule
    from wellbook.store import silences
    from wellbook.store.the_well import the_well

    here, found = session(ctx), the_rule(rule)
    with here.open().writing() as connection:
        number = the_well(connection, " ".join(well))
        ended = silences.unsilence(connection, here.who, number, found, today=here.today)
    if not ended:
        raise NotFoundError(f"{found.name} was not silent there")
    show([f"{found.name} speaks again there"])


def _settings(ctx: typer.Context) -> Settings:
    from wellbook.store.settings import settings

    with session(ctx).open().reading() as connection:
        return settings(connection)


def _preview_lines(added: Any, dropped: Any) -> list[str]:
    lines = [f"adds {len(added)}, drops {len(dropped)} as of today"]
    for word, some in (("+", added), ("-", dropped)):
        lines += [
            f"  {word} {tag}  {finding.severity.value}  {finding.reason}"
            for tag, finding in some[:20]
        ]
        if len(some) > 20:
            lines.append(f"  {word} and {len(some) - 20} more")
    return lines
