"""`wellbook shop`: what the shop says of itself, and its letters."""

from __future__ import annotations

import typer

from wellbook.cli.session import JSON, session, show, show_json, show_whole
from wellbook.errors import WellbookError

app = typer.Typer(
    rich_markup_mode=None, help="The shop itself: address, place, mail server, its letters."
)


@app.command("show")
def show_all(ctx: typer.Context, as_json: bool = JSON) -> None:
    """What the shop says of itself, and what counts where it says nothing."""
    from wellbook.present.envelope import envelope
    from wellbook.store.shop import FACTS, shop_says

    with session(ctx).open().reading() as connection:
        says = shop_says(connection)
    if as_json:
        facts = {name: says[name] for name in FACTS}
        show_json(envelope("wellbook.shop", 1, shop=facts))
        return
    show([_line(name, says.said.get(name), fact) for name, fact in FACTS.items()])


def _line(name: str, said: str | None, fact: object) -> str:
    default = getattr(fact, "default", "")
    value = said or (f"{default} (as long as nothing is said)" if default else "not said")
    return f"{name:<15}{value}  ·  {getattr(fact, 'meaning', '')}"


@app.command("set")
def set_one(
    ctx: typer.Context,
    name: str = typer.Argument(..., metavar="NAME", help="One of those that shop show lists."),
    value: str = typer.Argument(..., metavar="VALUE", help='The value, or "default".'),
) -> None:
    """Change one: wellbook shop set address "18 Foundry Lane, Nettlewick, ST 00000"."""
    from wellbook.cli.meanwhile import writing_over
    from wellbook.store.shop import FACTS, say_of_shop, shop_says

    here = session(ctx)
    name = name.strip().lower().replace("-", "_")
    with writing_over(here.open()) as connection:
        say_of_shop(connection, here.who, name, value)
        says = shop_says(connection)
    show([_line(name, says.said.get(name), FACTS[name])])


@app.command("letter")
def letter(
    ctx: typer.Context,
    name: str = typer.Argument("", metavar="[NAME]", help="letter, postcard, email or call."),
    file: str = typer.Option(
        "", "--from", metavar="FILE", help="Take the shop's own words from a file; - reads a pipe."
    ),
    default: bool = typer.Option(False, "--default", help="Go back to the program's own words."),
) -> None:
    """Show the words of a letter, or take the shop's own: docs/letters.md says what can stand there.

    wellbook shop letter postcard > postcard.txt, change it, wellbook shop letter postcard --from
    postcard.txt. What would not work is refused, with its line.
    """
    from wellbook.cli.meanwhile import writing_over
    from wellbook.reminders.letters import TemplateKind, check_template
    from wellbook.store.templates import keep_template, template_text

    here = session(ctx)
    kind = _kind(name, [k.value for k in TemplateKind])
    if file and default:
        raise WellbookError("give one of --from and --default")
    book = here.open()
    if not file and not default:
        with book.reading() as connection:
            text = template_text(connection, kind)
        from wellbook.reminders.letters import default_template

        show_whole(text or default_template(TemplateKind(kind)))
        return
    words = None if default else _read(file)
    if words is not None:
        check_template(words, TemplateKind(kind))
    with writing_over(book) as connection:
        keep_template(connection, here.who, kind, words)
    show([f"the {kind} is in {'the shop’s own' if words else 'the program’s own'} words"])


def _kind(name: str, known: list[str]) -> str:
    word = name.strip().lower().replace("e-mail", "email")
    if not word:
        raise WellbookError(f"say which: {', '.join(known)}", where="NAME")
    if word not in known:
        raise WellbookError(f"'{name}' is no letter; there are: {', '.join(known)}", where="NAME")
    return word


def _read(file: str) -> str:
    import sys
    from pathlib import Path

    try:
        text = sys.stdin.read() if file == "-" else Path(file).read_text("utf-8")
    except UnicodeDecodeError:
        raise WellbookError("is no text in UTF-8", where=file) from None
    if not text.strip():
        raise WellbookError("is empty", where=file)
    return text
