"""`wellbook remind`: what should go out now, to whom and by which way; and sending it."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, Session, note, session, show, show_json
from wellbook.cli.ways import a_way
from wellbook.errors import BrokenOff, WellbookError
from wellbook.terms import RemindBy

if TYPE_CHECKING:
    from wellbook.reminders.gathering import Notice
    from wellbook.reminders.sending import Outcomes, Run
    from wellbook.store.book import Book
    from wellbook.store.outbox import Outgoing
    from wellbook.store.shop import ShopSays

app = typer.Typer(rich_markup_mode=None)


@app.command("remind")
def remind(
    ctx: typer.Context,
    send: bool = typer.Option(False, "--send", help="Make them, and log each; else only look."),
    to: str = typer.Option("", "--to", metavar="FOLDER", help="With --send: where files go."),
    by: str = typer.Option("", "--by", metavar="WAY", help="Only letter, postcard, email or call."),
    town: str = typer.Option("", "--town", help="Only one town."),
    went: str = typer.Option(
        "", "--went", metavar="NUMBERS", help="Messages in doubt that did go: 12, or 12-40,51."
    ),
    did_not_go: str = typer.Option(
        "", "--did-not-go", metavar="NUMBERS", help="Messages in doubt that did not."
    ),
    as_json: bool = JSON,
) -> None:
    """Who should be told of what is due, by each customer's own way, once; --send makes it.

    One property gets one message for all that is due there. Letters and postcards become one PDF,
    e-mail goes through the shop's own server, and who is to be rung stands on a list of calls.
    Nobody who said no, or has not agreed where that is needed, gets one. What broke off is shown
    as in doubt, and never sent again by itself.
    """
    here = session(ctx)
    settling = "--went" if went else "--did-not-go" if did_not_go else ""
    others = {"--send": send, "--to": to, "--by": by, "--town": town, "--json": as_json}
    for option, given in others.items() if settling else ():
        if given:
            raise WellbookError(f"goes without {option}: settle first, then look", where=settling)
    if send and as_json:
        raise WellbookError("goes without --send", where="--json")
    if to and not send:
        raise WellbookError("goes with --send", where="--to")
    book = here.open()
    if settling:
        _settle(here, book, went, did_not_go)
        return
    wanted = a_way(by, "--by") if by else None
    notices, shop = _gathered(here, book, wanted, town)
    if send:
        _send(here, book, shop, [n for n in notices if n.goes], Path(to or "."))
        return
    _show(book, notices, as_json=as_json)


def _gathered(
    here: Session, book: Book, wanted: RemindBy | None, town: str
) -> tuple[list[Notice], ShopSays]:
    from wellbook.reminders.gathering import gather
    from wellbook.store.listing import known_town
    from wellbook.store.shop import shop_says

    with book.reading() as connection:
        shop = shop_says(connection)
        if town:
            known_town(connection, town)
        found = list(gather(connection, shop, today=here.today, town=town))
    return [n for n in found if wanted is None or n.choice.by is wanted], shop


def _show(book: Book, notices: list[Notice], *, as_json: bool) -> None:
    from wellbook.present.notice_lines import notice_lines, notices_json
    from wellbook.store.outbox import in_doubt

    with book.reading() as connection:
        doubtful = in_doubt(connection)
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.remind", 1, **notices_json(notices, doubtful)))
        return
    show(notice_lines(notices, doubtful))
    if any(n.goes for n in notices):
        show(["Nothing was sent. To make them: wellbook remind --send"])


def _settle(here: Session, book: Book, went: str, did_not_go: str) -> None:
    from wellbook.store.outbox import settle

    with book.writing() as connection:
        for text, option, sent in ((went, "--went", True), (did_not_go, "--did-not-go", False)):
            for number in _numbers(text, option):
                settle(connection, here.who, number, went=sent, today=here.today)
    said = [f"went: {went}" if went else "", f"did not go: {did_not_go}" if did_not_go else ""]
    show(["; ".join(x for x in said if x)])


def _numbers(text: str, option: str) -> list[int]:
    """Numbers and spans of them.

    >>> _numbers("3,7-9", "--went")
    [3, 7, 8, 9]
    """
    found: list[int] = []
    for part in filter(None, re.split(r"[,\s]+", text)):
        span = re.fullmatch(r"(\d{1,9})(?:-(\d{1,9}))?", part)
        first, last = (int(span[1]), int(span[2] or span[1])) if span else (1, 0)
        if not first <= last <= first + 100_000:
            raise WellbookError(f"'{part}' is no number; write 12, or 12-40,51", where=option)
        found += range(first, last + 1)
    return found


# -- sending -----------------------------------------------------------------------------------


def _send(here: Session, book: Book, shop: ShopSays, notices: list[Notice], folder: Path) -> None:
    from wellbook.reminders.sending import Run, ready

    if not notices:
        show(["nothing is to be told to anybody now"])
        _show_doubts(book)
        return
    unready = _unready(shop, {n.choice.by for n in notices if n.choice.by})
    going = [n for n in notices if n.choice.by not in unready]
    if not going:
        ready(shop, unready)
    if not folder.is_dir():
        raise WellbookError("is no folder", where=str(folder))
    if not os.access(folder, os.W_OK):
        raise WellbookError("nothing may be written there", where=str(folder))
    moment = datetime.now(shop.zone).astimezone(shop.zone)
    run = Run(
        book, here.who, shop, _words(book), moment, here.today, unfit=_unfit(shop, here.today)
    )
    try:
        _make(run, going, folder)
    except KeyboardInterrupt:
        raise BrokenOff(_so_far(run, len(going))) from None
    _show_doubts(book)
    if unready:
        left = len(notices) - len(going)
        raise WellbookError(f"{left} left for another run: {next(iter(unready.values()))}")


def _unready(shop: ShopSays, ways: set[RemindBy]) -> dict[RemindBy, str]:
    """The ways for which the shop has not said enough, and what it lacks: no other waits for them."""
    from wellbook.reminders.sending import ready

    found: dict[RemindBy, str] = {}
    for way in sorted(ways):
        try:
            ready(shop, [way])
        except WellbookError as error:
            found[way] = error.message
    return found


def _show_doubts(book: Book) -> None:
    """Whatever is in doubt, also of an earlier run: else it would be forgotten."""
    from wellbook.present.notice_lines import doubt_lines
    from wellbook.store.outbox import in_doubt

    with book.reading() as connection:
        doubtful = in_doubt(connection)
    show(doubt_lines(doubtful))


def _so_far(run: Run, wanted: int) -> str:
    """What a run that was stopped has done, and what not."""
    from wellbook.present.notice_lines import spans
    from wellbook.store.outbox import of_run
    from wellbook.terms import MessageStatus

    with run.book.reading() as connection:
        found = of_run(connection, run.uid)
    doubtful = found.get(MessageStatus.GOING, [])
    made, refused = (len(found.get(s, [])) for s in (MessageStatus.MADE, MessageStatus.REFUSED))
    rest = wanted - made - refused - len(doubtful)
    doubt = f"in doubt: {spans(doubtful)} (wellbook remind shows how to say)" if doubtful else ""
    parts = (f"made: {made}", f"refused: {refused}" if refused else "", doubt)
    said = "; ".join(part for part in parts if part)
    return f"stopped; of {wanted} messages {said}; not sent, and left for another run: {rest}"


def _make(run: Run, notices: list[Notice], folder: Path) -> None:
    from wellbook.reminders.sending import ON_PAPER
    from wellbook.whole_files import claimed

    today = run.today
    on_paper = [n for n in notices if n.choice.by in ON_PAPER]
    calls = [n for n in notices if n.choice.by is RemindBy.CALL]
    mails = [n for n in notices if n.choice.by is RemindBy.EMAIL]
    if on_paper:
        with claimed(folder / f"reminders-{today}.pdf") as path:
            _letters(run, on_paper, path)
    if calls:
        with claimed(folder / f"calls-{today}.txt") as path:
            _calls(run, calls, path)
    if mails:
        _emails(run, mails)


def _unfit(shop: ShopSays, today: date) -> Callable[[Notice, Outgoing], str]:
    """Says of a message why it cannot be printed; nothing of one that goes another way."""

    def why(notice: Notice, message: Outgoing) -> str:
        from wellbook.paper.mail import not_kept, unfit
        from wellbook.reminders.sending import ON_PAPER

        return unfit(not_kept(notice, message, today), shop) if message.by in ON_PAPER else ""

    return why


def _words(book: Book) -> dict[Any, str]:
    from wellbook.reminders.wording import words_of_shop

    with book.reading() as connection:
        return words_of_shop(connection)


def _letters(run: Run, notices: list[Notice], path: Path) -> None:
    from wellbook.paper.mail import draw_mail
    from wellbook.reminders.sending import print_letters

    with _progress("letters") as progress:

        def draw(rows: Iterable[Any], file: Path) -> None:
            draw_mail(rows, file, run.shop, lambda done: progress(done, len(notices)))

        done = print_letters(run, notices, path, draw)
    _tell(done, "on paper")
    if done.made:
        show([f"Print and post: {path}"])


def _calls(run: Run, notices: list[Notice], path: Path) -> None:
    from wellbook.cli.session import write_file
    from wellbook.reminders.sending import list_calls

    done, lines = list_calls(run, notices)
    if lines:
        # On the screen first: it is not lost where the file cannot be written.
        show([*lines, ""])
        write_file(path, "\n".join(lines) + "\n")
        show([f"The list of calls: {path}"])
        show(
            [
                "After each call: wellbook contact WELL --told, --booked DATE, --declined, --put-off DATE"
            ]
        )
    _tell(done, "on the list of calls")


def _emails(run: Run, notices: list[Notice]) -> None:
    from wellbook.reminders.sending import send_emails
    from wellbook.reminders.smtp import Mailing, MailServer
    from wellbook.terms import Security

    shop = run.shop
    server = MailServer(
        shop["mail_server"],
        shop.number("mail_port"),
        Security(shop["mail_security"]),
        shop["mail_user"],
    )
    with Mailing(server) as mailer, _progress("e-mails") as progress:
        done = send_emails(run, notices, mailer, progress)
    _tell(done, "by e-mail")
    if done.stopped:
        raise WellbookError(f"{done.stopped}; {done.left} left for another run")


def _tell(done: Outcomes, what: str) -> None:
    from wellbook.present.text import plural

    show([f"{plural(len(done.made), 'message')} {what}"])
    for where, words in (*done.dropped, *done.unworded):
        note(f"{where}: {words}")
    for title, rows in (
        ("refused", done.refused),
        ("not now; another run tries again", done.not_now),
        ("in doubt; look before you say --went or --did-not-go", done.in_doubt),
    ):
        show([f"  {title}: message {number}: {words}" for number, words in rows])


@contextmanager
def _progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal; nothing into a pipe."""
    if not sys.stderr.isatty():
        yield lambda _done, _of: None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)
