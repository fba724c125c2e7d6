"""A person is forgotten: whom, whether it is meant, and which copies hold the name still."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wellbook.cli.session import Session
from wellbook.errors import NotFoundError, NothingWritten, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.book import Book
    from wellbook.store.forgetting_undone import Undone


def forget_customer(here: Session, customer: str, *, yes: bool) -> list[str]:
    """Forget a customer, or one whose adding was undone; what is to be said of it.

    Parameters
    ----------
    customer
        A number, or words of the name.
    yes
        Whether nobody is asked before it is done.
    """
    from wellbook.cli.session import can_ask, choose
    from wellbook.store import forgetting, wells
    from wellbook.store.forgetting_undone import undone_customers
    from wellbook.store.forgotten import forgotten_rows

    with here.open().reading() as connection:
        number, name, gone = _whom(connection, customer)
    if not yes:
        if not can_ask():
            raise WellbookError(
                f"customer {number}, {name}, would be forgotten for good; say so: --yes",
                where="--yes",
            )
        if choose(f"forget {name} (customer {number}) for good?") == "no":
            raise NothingWritten("nothing is forgotten")
    with here.open().writing() as connection:
        before = set(forgotten_rows(connection, "customer"))
        if gone is not None:
            if gone not in undone_customers(connection):
                raise WellbookError(f"somebody has brought {name} back meanwhile; try again")
            done = forgetting.forget_undone(connection, here.who, gone)
        else:
            # Asked again: another may have joined the record with a second one, or put its name right.
            now = wells.customer_name(connection, wells.the_customer(connection, str(number)))
            if now != name:
                raise WellbookError(
                    f"customer {number} was {name} when you were asked and is {now} now; nobody is"
                    " forgotten; look anew: wellbook customer show"
                )
            # Before the name is taken out of the log everywhere.
            for other in undone_customers(connection):
                if other.name == name:
                    forgetting.forget_undone(connection, here.who, other)
            done = forgetting.forget(connection, here.who, number)
        his = set(forgotten_rows(connection, "customer")) - before
    return [
        f"customer {number} is forgotten: rows erased {done.gone}, emptied {done.emptied};"
        " wells and visits stay",
        *_where_he_still_is(here.open(), his),
        *(_FILES_STAY if done.files else ()),
    ]


def _whom(connection: Connection, words: str) -> tuple[int, str, Undone | None]:
    """Number and name of a customer; with what the log has, where his adding was taken back."""
    from wellbook.store import wells
    from wellbook.store.forgetting_undone import the_undone

    try:
        number = wells.the_customer(connection, words)
    except NotFoundError:
        if (gone := the_undone(connection, words)) is None:
            raise
        return gone.number, gone.name, gone
    return number, wells.customer_name(connection, number), None


def _where_he_still_is(book: Book, customers: set[str]) -> list[str]:
    """What was made before and still has the name: backups by their names, the rest in general."""
    if not book.is_file:
        return [_COPIES_STAY]
    from wellbook.present.backup_lines import holding_lines
    from wellbook.store.backups_there import that_hold

    return [*holding_lines(that_hold(book.path, customers)), _COPIES_STAY]


_COPIES_STAY = (
    "Copies, backups, exports and printed letters that were made before and are elsewhere still hold the"
    " name: delete them too."
)
_FILES_STAY = (
    "Files that were attached to the wells stay as they are; look through them: wellbook files list",
)
