"""Sends what was gathered: letters as one file for the printer, e-mail, and a list of calls.

Each message is written into the outbox and committed before it goes, and marked after. So wherever
the program is killed, a message has either gone once, or is surely still to go, or is shown as in
doubt: nothing is ever sent again because nobody knew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from email.message import EmailMessage
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from wellbook.errors import WellbookError
from wellbook.reminders.email_message import MailAddress, email_message
from wellbook.reminders.gathering import Notice, gather
from wellbook.reminders.letter_facts import Facts
from wellbook.reminders.letters import Message, TemplateKind, render
from wellbook.reminders.smtp import Outcome, SendingStopped, Sent
from wellbook.reminders.wording import facts_of
from wellbook.store.holes import load_holes
from wellbook.store.identity import new_uid
from wellbook.store.outbox import Outgoing, begin, end, messages_of, of_run
from wellbook.store.rows import batches
from wellbook.store.shop import FACTS, ShopSays
from wellbook.terms import MessageStatus, RemindBy

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.book import Book
    from wellbook.store.rows import Record

AT_ONCE = 100
"""How many messages are written down in one transaction."""
ON_PAPER = frozenset({RemindBy.LETTER, RemindBy.POSTCARD})

Progress = Callable[[int, int], None]


class Mailer(Protocol):
    """Hands over one e-mail and tells what became of it."""

    def send(self, mail: EmailMessage) -> Sent:
        """What became of it; raises SendingStopped where no other would fare better."""


@dataclass(slots=True)
class Outcomes:
    """What a run did, by message: numbers in the outbox and the server's words where it has any.

    `unworded` are those that could not be put in words, and `dropped` those that were no longer to go
    as they were about to: where, and why. `left` counts what was not tried because the run stopped,
    and `stopped` says why it did.
    """

    made: list[int] = field(default_factory=list)
    refused: list[tuple[int, str]] = field(default_factory=list)
    not_now: list[tuple[int, str]] = field(default_factory=list)
    in_doubt: list[tuple[int, str]] = field(default_factory=list)
    unworded: list[tuple[str, str]] = field(default_factory=list)
    dropped: list[tuple[str, str]] = field(default_factory=list)
    left: int = 0
    stopped: str = ""


@dataclass(frozen=True, slots=True)
class Run:
    """One run of sending: whose book, who sends, when, and in whose words.

    `words` has the template of each kind; `unfit` says why a message cannot be printed, if so.
    """

    book: Book
    who: str
    shop: ShopSays
    words: dict[TemplateKind, str]
    now: datetime
    today: date
    unfit: Callable[[Notice, Outgoing], str] = lambda _notice, _message: ""
    uid: str = field(default_factory=new_uid)

    def still_to_go(
        self, connection: Connection, notices: Sequence[Notice], done: Outcomes
    ) -> Iterator[Notice]:
        """Some notices as they stand now; what is not to go any more is left, and told.

        They were gathered a while ago. Since then somebody said no, the visit was made or booked,
        the property was sold, or another run told of it.
        """
        fresh: dict[int, list[Notice]] = {}
        sites = [n.place.site_id for n in notices]
        for notice in gather(connection, self.shop, today=self.today, only=sites):
            fresh.setdefault(notice.place.site_id, []).append(notice)
        for notice in notices:
            same = fresh.get(notice.place.site_id, [])
            goes = next((n for n in same if n.goes and n.choice.by is notice.choice.by), None)
            if goes is not None:
                yield goes
                continue
            why = next((n.choice.why_not for n in same if n.choice.why_not), "")
            why = why or "told by another run, booked, declined, put off or done meanwhile"
            done.dropped.append((", ".join(notice.tags), why))

    def compose(
        self, connection: Connection, notices: Sequence[Notice], done: Outcomes
    ) -> Iterator[Outgoing]:
        """The messages of some notices, in words; what cannot be worded is left, and told."""
        numbers = sorted({o.well_id for n in notices for o in n.tells})
        holes = dict(zip(numbers, load_holes(connection, numbers), strict=True))
        for notice in notices:
            facts = facts_of(notice, self.shop, holes, self.today)
            try:
                message = worded(notice, facts, self.words)
                why = self.unfit(notice, message)
            except WellbookError as error:
                why = str(error)
            if why:
                done.unworded.append((", ".join(notice.tags), why))
            else:
                yield message


NEEDED = {
    RemindBy.LETTER: ("name", "address", "phone"),
    RemindBy.POSTCARD: ("name", "address", "phone"),
    RemindBy.EMAIL: ("name", "address", "phone", "email", "mail_server"),
    RemindBy.CALL: ("name",),
}
"""What a shop has to say of itself before it writes by each way."""


def ready(shop: ShopSays, ways: Iterable[RemindBy]) -> None:
    """Whether the shop has said what its messages need.

    Raises
    ------
    WellbookError
        Naming what is missing and how to say it.
    """
    lacking = {name for way in ways for name in NEEDED[way] if not shop[name]}
    if lacking:
        first = next(name for name in FACTS if name in lacking)
        raise WellbookError(
            f"messages need the shop's {', '.join(n.replace('_', ' ') for n in FACTS if n in lacking)};"
            f' say it: wellbook shop set {first} "..."'
        )


def worded(notice: Notice, facts: Facts, words: Mapping[TemplateKind, str]) -> Outgoing:
    """A notice as it stands in the outbox.

    Parameters
    ----------
    words
        The template of each kind.

    Raises
    ------
    WellbookError
        Where the template is wrong, or the message lacks what it must say.
    """
    kind = TemplateKind(str(notice.choice.by))
    return _outgoing(notice, render(words[kind], facts, kind))


def _outgoing(notice: Notice, message: Message) -> Outgoing:
    by, who = notice.choice.by, notice.place.resident
    assert by is not None and who is not None  # one that goes has both
    return Outgoing(
        customer_id=who.customer_id,
        site_id=notice.place.site_id,
        by=by,
        address=notice.choice.address,
        subject=message.subject,
        body=message.text,
        about=tuple((o.key, o.life.round if o.life else 0) for o in notice.tells),
    )


def write_down(
    run: Run, notices: Sequence[Notice], done: Outcomes, *, file_name: str = "", made: bool = False
) -> list[int]:
    """Put messages into the outbox; their numbers. `made` marks them in the same transaction.

    Whether each is still to go is asked in that transaction too: a no that came in before counts.
    """
    numbers: list[int] = []
    for batch in batches(notices, AT_ONCE):
        with run.book.writing() as connection:
            going = list(run.still_to_go(connection, batch, done))
            messages = list(run.compose(connection, going, done))
            some = begin(
                connection,
                run.who,
                messages,
                run_uid=run.uid,
                today=run.today,
                file_name=file_name,
            )
            numbers += some
            for number in some if made else ():
                end(connection, run.who, number, MessageStatus.MADE, today=run.today)
    return numbers


def print_letters(
    run: Run,
    notices: Sequence[Notice],
    path: Path,
    draw: Callable[[Iterable[Record], Path], None],
) -> Outcomes:
    """Letters and postcards as one file for the printer.

    Parameters
    ----------
    path
        The file, which is there whole or not at all.
    draw
        Makes it from the outbox's rows, which come one at a time.
    """
    done = Outcomes()
    in_order = sorted(notices, key=lambda n: str(n.choice.by))  # letters, then postcards
    try:
        numbers = write_down(run, in_order, done, file_name=str(path))
        if not numbers:
            return done
        with run.book.reading() as connection:
            draw(messages_of(connection, numbers), path)
    except (Exception, KeyboardInterrupt):
        if not path.exists():
            # No file, no letters: surely not sent.
            with run.book.reading() as connection:
                begun = of_run(connection, run.uid).get(MessageStatus.GOING, [])
            _mark(run, begun, MessageStatus.NOT_SENT)
        raise
    _mark(run, numbers, MessageStatus.MADE)
    done.made = numbers
    return done


def _mark(run: Run, numbers: Sequence[int], status: MessageStatus) -> None:
    with run.book.writing() as connection:
        for number in numbers:
            end(connection, run.who, number, status, today=run.today)


def list_calls(run: Run, notices: Sequence[Notice]) -> tuple[Outcomes, list[str]]:
    """A list of whom to ring and what to say. It tells nobody: each call is written down when made."""
    done = Outcomes()
    done.made = write_down(run, notices, done, made=True)
    lines: list[str] = []
    with run.book.reading() as connection:
        for row in messages_of(connection, done.made):
            lines += ["", f"{row['address']}  {row['name']}, {row['road']}, {row['town']}"]
            lines += [f"    {said}" for said in row["body"].splitlines() if said]
    return done, lines[1:]


def send_emails(
    run: Run, notices: Sequence[Notice], mailer: Mailer, progress: Progress = lambda _a, _b: None
) -> Outcomes:
    """E-mails one after the other; where the server is lost, the rest is left for another run."""
    done = Outcomes()
    for n, notice in enumerate(notices):
        for number in write_down(run, [notice], done):
            try:
                _send_one(run, number, mailer, done)
            except SendingStopped as error:
                # The line was lost before anything of this message was handed over.
                _mark(run, [number], MessageStatus.NOT_SENT)
                done.left, done.stopped = len(notices) - n, str(error)
                return done
        progress(n + 1, len(notices))
    return done


def _mail(run: Run, row: Record) -> EmailMessage:
    return email_message(
        Message(row["subject"], tuple(row["body"].rstrip("\n").split("\n\n"))),
        MailAddress(run.shop["email"], run.shop["name"]),
        MailAddress(row["address"], row["name"]),
        sent_at=run.now,
        message_id=f"<{row['uid']}@{run.shop['email'].rpartition('@')[2]}>",
    )


def _send_one(run: Run, number: int, mailer: Mailer, done: Outcomes) -> None:
    with run.book.reading() as connection:
        (row,) = messages_of(connection, [number])
    try:
        mail = _mail(run, row)
    except WellbookError as error:
        # Never handed over: the address is none, whatever it looked like.
        sent = Sent(Outcome.REFUSED, error.message)
    else:
        sent = mailer.send(mail)
    if sent.outcome is Outcome.IN_DOUBT:
        # Left as it is, going: only somebody who asks the customer or the server can know.
        done.in_doubt.append((number, sent.words))
        return
    status = {
        Outcome.SENT: MessageStatus.MADE,
        Outcome.REFUSED: MessageStatus.REFUSED,
        Outcome.NOT_NOW: MessageStatus.NOT_SENT,
    }[sent.outcome]
    with run.book.writing() as connection:
        end(connection, run.who, number, status, answer=sent.words, today=run.today)
    if sent.outcome is Outcome.SENT:
        done.made.append(number)
    elif sent.outcome is Outcome.REFUSED:
        done.refused.append((number, sent.words))
    else:
        done.not_now.append((number, sent.words))
