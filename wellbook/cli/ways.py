"""How a customer is reached, as it is typed: one word for each way, however it is spelled."""

from __future__ import annotations

from wellbook.errors import WellbookError
from wellbook.terms import RemindBy


def plain_way(text: str) -> str:
    """The book's word for a way.

    >>> plain_way(" E-mail "), plain_way("phone")
    ('email', 'call')
    """
    return text.strip().lower().replace("e-mail", "email").replace("phone", "call")


def a_way(text: str, option: str) -> RemindBy:
    """A way by which a message goes.

    Raises
    ------
    WellbookError
        If it is none.
    """
    words = [way.value for way in RemindBy if way is not RemindBy.NONE]
    word = plain_way(text)
    if word not in words:
        raise WellbookError(f"'{text}' is not one of: {', '.join(words)}", where=option)
    return RemindBy(word)
