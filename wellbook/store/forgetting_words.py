"""By which words a person who is forgotten is found in texts, and how these are taken out."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from typing import Any

from wellbook.store.forgotten import NOBODY
from wellbook.terms import ContactWay

_LEAST = 4
"""A shorter name or number is not looked for in texts: it would be found in other words."""

_HIS_COLUMNS = frozenset(
    "name name_key notes value digits e164 how note remind_by contract_month"
    " caller caller_phone symptom promised outcome".split()
)
"""Columns of his own rows that say who he is, or what was said with him."""


def finder(names: Iterable[str], ways: Iterable[tuple[str, str]]) -> re.Pattern[str] | None:
    """What is looked for in texts: each name either way round, numbers and addresses however parted.

    Parameters
    ----------
    ways
        Each way to reach him: which it is, and its value.

    Examples
    --------
    >>> finder(["Orla Finch"], [("phone", "555-014-7788")]).sub("X", "Finch, Orla: 555.014.7788")
    'X: X'
    """
    found: list[str] = []
    # The longer of two first, else half of it would stay.
    for name in sorted(names, key=lambda name: (-len(name), name)):
        parts = [re.escape(part) for part in re.split(r"[\W_]+", name) if part]
        found += [r"[\W_]+".join(parts), r"[\W_]+".join([*parts[-1:], *parts[:-1]])]
    for way, value in sorted(ways):
        digits = re.sub(r"\D", "", value) if way == ContactWay.PHONE else ""
        if len(digits) > _LEAST:
            found.append(r"(?<!\d)\+?" + r"[ ().-]*".join(digits))
        found.append(re.escape(value))
    found = [x for x in found if len(x) >= _LEAST]
    return re.compile("|".join(found), re.IGNORECASE) if found else None


def without(text: str, words: re.Pattern[str] | None) -> str:
    """A text with his words taken out."""
    return words.sub(NOBODY, text) if words is not None and text else text


def emptied(text: str) -> str:
    """Old or new values of a row of his own, as JSON, without what says who he is."""
    values: dict[str, Any] = json.loads(text)
    return json.dumps({k: None if k in _HIS_COLUMNS else v for k, v in values.items()})
