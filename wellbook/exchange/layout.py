"""How a file is written, as found by looking into it: what each form of file says of itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

FORMS = ("csv", "xlsx", "vcard")
"""The forms of file that are read: text parted by a sign, a workbook, contacts."""

REASON = "reason"
"""The last column of a file of refused rows; it is passed over when that file comes in again."""


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file is written, as found by looking into it.

    `header_row` 0 is a file without headers; one of two `header_lines` ends there. `said` holds
    what the user is to know of the file itself, each under the key of a mapping that it speaks of,
    such as which sheet is read.
    """

    encoding: str
    delimiter: str
    header_row: int
    headers: tuple[str, ...]
    sample: tuple[tuple[str, ...], ...]
    form: str = "csv"
    sheet: str = ""
    escape: str = ""
    header_lines: int = 1
    said: dict[str, str] = field(default_factory=dict, compare=False)


def told_apart(headers: Sequence[str]) -> tuple[str, ...]:
    """Headers without blanks around them; the second of a name is numbered, so that it has one.

    >>> told_apart(["id", " depth", "depth", ""])
    ('id', 'depth', 'depth (2)', '')
    """
    seen: Counter[str] = Counter()
    named = []
    for header in (h.strip() for h in headers):
        seen[header] += 1
        named.append(f"{header} ({seen[header]})" if header and seen[header] > 1 else header)
    return tuple(named)
