"""The words of a text as wells are found by them, apart from any book."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from wellbook.terms import KNOWN_AS

SHORTEST_SLIP = 4
"""How many letters a word has at least that is found by a slip: of shorter ones too many are near."""

SHORTEST_NUMBER = 4
"""How many digits a number has at least. A shorter one, such as most houses', is a word: there are few
of them. A longer one is found by its beginning and its end, and is no word: a book has as many of
them as wells."""

TAG_WEIGHT, NAME_WEIGHT, PLACE_WEIGHT, OLD_WEIGHT = 4, 3, 2, 1
"""How much a word says of a well by where it stands: in its tag or permit, in the name of who is there, in
its place, in the name of who was there."""

_WORD = re.compile(r"[^\W_]+")
_RUN = re.compile(r"\d+|\D+")


def words_of(text: str) -> list[str]:
    """The words of a text: small letters, no accents, no punctuation.

    >>> words_of("O'Brien-Muñoz, 12 Cold Spring Rd.")
    ['obrien', 'munoz', '12', 'cold', 'spring', 'rd']
    """
    flat = text.casefold()
    if not flat.isascii():
        flat = unicodedata.normalize("NFKD", flat)
        flat = "".join(c for c in flat if not unicodedata.combining(c)).replace("’", "")
    return _WORD.findall(flat.replace("'", ""))


def runs_of(text: str) -> Iterator[str]:
    """The words of a text, parted where letters meet digits.

    >>> list(runs_of("TF31, Route 9B"))
    ['tf', '31', 'route', '9', 'b']
    """
    for word in words_of(text):
        yield from _RUN.findall(word)


def is_number(run: str) -> bool:
    """Whether a run of signs is found as a number, and not as a word.

    >>> is_number("2210"), is_number("221"), is_number("marrow")
    (True, False, False)
    """
    return len(run) >= SHORTEST_NUMBER and run.isdigit()


def digits_of(text: str) -> str:
    """All digits of a text as one number.

    >>> digits_of("(207) 555-0131")
    '2075550131'
    """
    return re.sub(r"\D", "", text)


def left_out(word: str) -> set[str]:
    """A word with one letter left out, each of them.

    >>> sorted(left_out("well"))
    ['ell', 'wel', 'wll']
    """
    if len(word) < SHORTEST_SLIP:
        return set()
    return {word[:n] + word[n + 1 :] for n in range(len(word))}


def one_slip(one: str, other: str) -> bool:
    """Whether two words differ by one letter left out, added, changed, or two swapped.

    >>> one_slip("marrow", "marow"), one_slip("marrow", "marrwo"), one_slip("marrow", "morow")
    (True, True, False)
    """
    if abs(len(one) - len(other)) > 1 or one == other:
        return one == other
    n = next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), None)
    if n is None:
        return True
    if len(one) == len(other):
        swapped = one[n : n + 2] == other[n : n + 2][::-1] and one[n + 2 :] == other[n + 2 :]
        return swapped or one[n + 1 :] == other[n + 1 :]
    longer, shorter = (one, other) if len(one) > len(other) else (other, one)
    return longer[n + 1 :] == shorter[n:]


def names_in(notes: str) -> list[str]:
    """The names of a well, or of a customer, that notes say, one a line.

    >>> names_in("gate by the creek\\nknown as Mill Lane 2")
    ['Mill Lane 2']
    """
    lines = (line.strip() for line in notes.splitlines())
    return [line[len(KNOWN_AS) :].strip() for line in lines if line.lower().startswith(KNOWN_AS)]
