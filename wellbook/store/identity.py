"""Identities that are unique across books, and the moment of a change."""

from __future__ import annotations

import getpass
import uuid
from datetime import UTC, datetime, timedelta


def new_uid() -> str:
    """A new identity."""
    return uuid.uuid4().hex


def now() -> str:
    """This moment, to the second, in universal time."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def another_moment(before: str) -> str:
    """This moment, to the microsecond, in universal time; one later where that is the one before."""
    at = datetime.now(UTC)
    if at.isoformat(timespec="microseconds") == before:
        at += timedelta(microseconds=1)
    return at.isoformat(timespec="microseconds")


def whoever() -> str:
    """Who is at the keyboard, as the system knows him."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "unknown"
