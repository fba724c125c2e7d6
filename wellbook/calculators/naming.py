"""What a calculator says of its own options, however the arithmetic beneath calls them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def naming(**options: str) -> Iterator[None]:
    """An error of the arithmetic names the option, and not the parameter that it was handed to.

    Parameters
    ----------
    options
        Parameter of the arithmetic -> option of the calculator.

    >>> with naming(set_depth_ft="height_ft"):
    ...     raise ValueError("set_depth_ft: 0 is not above zero")
    Traceback (most recent call last):
    ValueError: height_ft: 0 is not above zero
    """
    try:
        yield
    except ValueError as error:
        field, colon, rest = str(error).partition(": ")
        raise ValueError(f"{options.get(field, field)}{colon}{rest}") from None


OPEN_DISCHARGE = "no cut-out pressure: an open discharge is taken"


def missing(*options: str, why: str) -> ValueError:
    """The error of options that are needed with what was given.

    >>> missing("id_in", "length_ft", why="friction is of a pipe")
    ValueError('id_in, length_ft: missing; friction is of a pipe')
    """
    return ValueError(f"{', '.join(options)}: missing; {why}")
