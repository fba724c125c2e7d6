"""The one kind of error that a user is shown: a line that says where, what is wrong, what would do.

Everything a user can cause is raised as one of these; the command line turns it into one line on
standard error (or into JSON) and an exit status. Anything else is a defect of the program.
"""

from __future__ import annotations


class WellbookError(Exception):
    """Something a user can put right.

    Parameters
    ----------
    messages
        What is wrong and what would be right, in one sentence; several, if there is more than one thing.
    where
        The place: a file and line, a field, an option; empty where there is none.
    """

    code = "wrong_input"
    exit_status = 2

    def __init__(self, *messages: str, where: str = "") -> None:
        super().__init__(*messages)
        self.message = "\n".join(messages)
        self.where = where
        at = f"{where}: " if where else ""
        self.lines = [at + message for message in messages]
        """A line for each: what a user wrote may have line breaks, so they are kept apart."""

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message


class NotFoundError(WellbookError):
    """The answer is no: nothing in the book fits what was asked."""

    code = "not_found"
    exit_status = 1


class NothingWritten(WellbookError):  # noqa: N818 - it is an answer more than a mistake
    """The user stopped before anything was written."""

    code = "nothing_written"
    exit_status = 1


class BrokenOff(WellbookError):  # noqa: N818 - it is an answer more than a mistake
    """The user stopped what had begun; the message says what was done by then and stays done."""

    code = "stopped"
    exit_status = 130


class ReplayError(WellbookError):
    """The sheets of a well do not work out when they are replayed in the order of their dates."""

    code = "does_not_work_out"


class BookError(WellbookError):
    """The book itself cannot be opened, read or written."""

    code = "book"
