"""User text made fit to stand among other text: no controls, no line breaks, no overrides.

Whatever stands in a book was typed or imported by somebody. On a terminal an escape sequence, in a
letter's header a line break, would change what it does not belong to.
"""

from __future__ import annotations

import re
import unicodedata

_ESCAPES = re.compile(r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)")
_JOINERS = "\u200c\u200d"
_BLANKS = "\t\n\v\f\r\x1c\x1d\x1e\x1f\x85\u2028\u2029"


def clean(text: str) -> str:
    """Text without controls, escape sequences and bidirectional overrides; a line break is a blank.

    >>> clean("a\\x1b[31mb\\nc\\u202ed")
    'ab cd'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_safe(sign) for sign in _ESCAPES.sub("", text))


def on_one_line(text: str) -> str:
    """The same on one line, with single blanks between its words and none around them.

    >>> on_one_line(" Orla\\r\\nBcc:  x ")
    'Orla Bcc: x'
    """
    return " ".join(clean(text).split())


LONG = 20_000
"""So many letters of a text are shown on a page."""


def beginning(text: str, most: int = LONG) -> str:
    """A text as far as a page shows it; of a very long one, how much more there is.

    >>> beginning("soft ground in spring", 11)
    'soft ground … and 10 letters more'
    """
    if len(text) <= most:
        return text
    return f"{text[:most].rstrip()} … and {len(text) - most:,} letters more"


def _safe(sign: str) -> str:
    if sign in _BLANKS:
        return " "
    category = unicodedata.category(sign)
    if category == "Cs":
        return "\N{REPLACEMENT CHARACTER}"
    if category in ("Cc", "Cf") and sign not in _JOINERS:
        return ""
    return sign
