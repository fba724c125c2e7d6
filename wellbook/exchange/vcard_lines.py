"""The lines of vCards: cards told apart, folded lines joined, names, parameters and values parted.

Versions 2.1 (as phones still write it, with quoted-printable), 3.0 (RFC 2426) and 4.0 (RFC 6350).
Read here and not by a library, since those at hand drop what follows a comma that should have been
escaped, which phones write, and stop at the first broken card.
"""

from __future__ import annotations

import quopri
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TextIO

from wellbook.errors import WellbookError

_LONGEST_LINE = 4_000_000
_LONGEST_CARD = 30_000_000
"""Letters, with its pictures."""
_HEAD = re.compile(r'\s*(?:[\w-]+\.)?([\w-]+)((?:;(?:"[^"]*"|[^":;])*)*):(.*)', re.DOTALL)
_PARAMETER = re.compile(r';((?:"[^"]*"|[^";])*)')
_QUOTED = re.compile(r"ENCODING=QUOTED-PRINTABLE|;QUOTED-PRINTABLE", re.IGNORECASE)
_BINARY = frozenset({"PHOTO", "LOGO", "SOUND", "KEY"})


@dataclass(frozen=True, slots=True)
class RawCard:
    """The lines of a card, the number of its first, and what is wrong with it as a whole."""

    number: int
    lines: list[str]
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Property:
    """One property of a card: its name, the words of its parameters, its value as written."""

    name: str
    words: frozenset[str]
    value: str
    preferred: int = 100
    """1 for the most preferred; 100 where nothing is said."""


@dataclass(slots=True)
class _Open:
    number: int
    lines: list[str] = field(default_factory=list)
    depth: int = 0
    size: int = 0


def raw_cards(file: TextIO) -> Iterator[RawCard]:
    """The cards of an open text; what stands between them is one with a fault.

    Raises
    ------
    WellbookError
        If a line or a card is without end.
    """
    telling = _Telling()
    number = 0
    while line := file.readline(_LONGEST_LINE):
        number += 1
        if len(line) >= _LONGEST_LINE:
            raise WellbookError(f"line {number} has no end; this is no list of contacts")
        yield from telling.line(number, line)
    yield from telling.end()


class _Telling:
    """Tells cards apart, line by line."""

    def __init__(self) -> None:
        self.card: _Open | None = None
        self.stray: _Open | None = None

    def line(self, number: int, line: str) -> Iterator[RawCard]:
        plain = line.strip().upper()
        if plain == "BEGIN:VCARD":
            if self.card is None or not _is_agent(self.card.lines):
                yield from self.end()
                self.card = _Open(number)
            self.card.depth += 1
        if self.card is None:
            if plain:
                self.stray = self.stray or _Open(number)
                # What is no card is told, not kept.
                self.stray.lines += [line] if len(self.stray.lines) < 50 else []
            return
        card = self.card
        card.lines.append(line)
        card.size += len(line)
        if card.size > _LONGEST_CARD:
            raise WellbookError(f"the card of line {card.number} has no end")
        if plain == "END:VCARD":
            card.depth -= 1
            if not card.depth:
                self.card = None
                yield RawCard(card.number, card.lines)

    def end(self) -> Iterator[RawCard]:
        """What was begun and is not ended."""
        if self.stray:
            yield RawCard(self.stray.number, self.stray.lines, "it stands in no card")
        if self.card:
            yield RawCard(self.card.number, self.card.lines, "END:VCARD is missing")
        self.stray = self.card = None


def _is_agent(lines: list[str]) -> bool:
    """Whether a card within a card is to come, as version 2.1 has it."""
    return lines[-1].strip().upper().startswith("AGENT")


def properties(card: RawCard) -> Iterator[Property]:
    """The properties of a card, without pictures and keys.

    Raises
    ------
    ValueError
        If a line is no property.
    """
    depth = 0
    for line in _unfolded(card.lines):
        if not line.strip():
            continue
        found = _HEAD.fullmatch(line)
        if found is None:
            raise ValueError(f"not a line of a card: '{line.strip()[:40]}'")
        name, value = found[1].upper(), found[3]
        depth += {"BEGIN": 1, "END": -1}.get(name, 0)
        if depth == 1 and name not in ("BEGIN", "END") and name not in _BINARY:
            yield _property(name, found[2], value)


def _unfolded(lines: list[str]) -> Iterator[str]:
    """Folded lines as one: a line that begins with a blank goes on the line before it.

    In version 2.1 that blank is part of the text, and a quoted-printable line goes on after "=".
    """
    kept = " " if any(re.match(r"\s*VERSION:2\.1", x, re.IGNORECASE) for x in lines) else ""
    whole: list[str] = []
    soft = False
    for line in (x.rstrip("\r\n") for x in lines):
        if soft:
            whole[-1] = whole[-1][:-1]
            whole.append(line)
        elif whole and line[:1] in (" ", "\t"):
            whole.append(kept + line[1:])
        else:
            if whole:
                yield "".join(whole)
            whole = [line]
        soft = line.endswith("=") and _QUOTED.search(whole[0]) is not None
    yield "".join(whole)


def _property(name: str, parameters: str, value: str) -> Property:
    words: set[str] = set()
    charset = "utf-8"
    preferred = 100
    for said in _PARAMETER.findall(parameters):
        key, _, rest = said.partition("=")
        key, rest = key.strip().upper(), rest.strip().strip('"')
        if key == "CHARSET":
            charset = rest
        elif key == "PREF" and rest:
            preferred = int(rest) if rest.isdecimal() and len(rest) < 4 else 100
        else:
            words |= {w.strip().upper() for w in (rest or key).split(",")}
    if "PREF" in words:  # as 2.1 and 3.0 say it
        preferred = 1
    if "QUOTED-PRINTABLE" in words:
        value = _decoded(quopri.decodestring(value.encode("utf-8", "replace")), charset)
    elif words & {"B", "BASE64"}:
        value = ""
    return Property(name, frozenset(words), value, preferred)


def _decoded(data: bytes, charset: str) -> str:
    for encoding in (charset, "utf-8", "cp1252"):
        try:
            return data.decode(encoding)
        except (LookupError, ValueError):
            continue
    return data.decode("latin-1")


def unescaped(value: str) -> str:
    r"""A value without its escapes.

    >>> unescaped(r"Richter\, James\nhome")
    'Richter, James\nhome'
    """
    return re.sub(r"\\(.)", lambda m: "\n" if m[1] in "nN" else m[1], value, flags=re.DOTALL)


def parted(value: str, by: str = ";") -> list[str]:
    r"""The parts of a value, without their escapes.

    >>> parted(r"Doe;John;Richter\, James;Mr.;")
    ['Doe', 'John', 'Richter, James', 'Mr.', '']
    """
    parts = re.findall(rf"((?:\\.|[^\\{by}]|\\$)*)(?:{by}|$)", value, re.DOTALL)
    # The pattern also finds what is empty behind the last part.
    return [unescaped(p).strip() for p in (parts[:-1] if not value.endswith(by) else parts)]
