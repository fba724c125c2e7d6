"""In which encoding a text is written, as its bytes tell.

A byte-order mark says it; text of two bytes a letter is known by the zero in every other byte. What has
more letters that are whole in UTF-8 than bytes that are not is UTF-8, for other text is so by chance in
hardly any case; the rows with such bytes are named as they are read. Of the old sets of one byte a letter
(of Windows and ISO 8859, of old Macintosh programs, of DOS) the one counts in which most words look like
words: an accented letter in small type beside others, and no sign or capital within a word.
"""

from __future__ import annotations

import codecs
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, TextIO

from wellbook.errors import WellbookError

_HEAD = 1 << 16
_ENOUGH = 0.4
"""Of every other byte: so many zeros has text of two bytes a letter that is mostly in Latin."""
_MOST_CONTROLS = 0.01
"""The share of signs that no text has, over which a file is no text."""
_MOST_WORDS = 20_000
"""Looked at of each million bytes."""
_CONTROLS = re.compile(rb"[\x00-\x08\x0b\x0e-\x19\x1b-\x1f]")
_NOT_IN_WINDOWS = re.compile(rb"[\x81\x8d\x8f\x90\x9d]")
_OLD_SETS = ("cp1252", "mac-roman", "cp850")
_BESIDE_OTHERS = re.compile(rb"[A-Za-z ]{0,2}[\x80-\xff]+[A-Za-z ]{0,2}")
"""The bytes that sets differ in, with what stands beside them."""
_LIKE_A_WORD = re.compile(
    r"[^\W\d_]?[ß-öø-ÿœšž][a-z ]|\b[À-ÖØ-Þ](?:[a-z]|[A-ZÀ-ÖØ-Þ])|[A-Z][À-ÖØ-Þ](?![a-z])"
)
_QUOTES = re.compile(r"[a-z]’[a-z]|[“‘][A-Za-z]|[a-z.]”| – ")
_UNLIKE = re.compile(
    r"[a-zß-öø-ÿ][A-ZÀ-ÖØ-Þ]|[\x80-\x9f]"
    r"|[^\W\d_](?![ºª])[^\w\s'’ʼ\-–—.,:;()\"“”/…°²³½¼¾®™]+[^\W\d_]"
)
_ESCAPED = re.compile("[\udc80-\udcff]")
_BEYOND_ASCII = re.compile("[^\x00-\x7f]")


def encoding_of(file: BinaryIO, name: str) -> str:
    """The encoding of an open file, which it leaves anywhere.

    Raises
    ------
    WellbookError
        If it is no text; `name` says which file.
    """
    head = file.read(_HEAD)
    if head.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise WellbookError("this is a spreadsheet; save it as CSV first", where=name)
    if head.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        return "utf-32"
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if wide := _two_bytes_a_letter(head):
        return wide
    controls = len(_CONTROLS.findall(head))
    if controls > 3 and controls > _MOST_CONTROLS * len(head):
        raise WellbookError("not readable text; save it as UTF-8", where=name)
    return "utf-8-sig" if _is_utf8(file) else _of_one_byte(file)


def _two_bytes_a_letter(head: bytes) -> str:
    if len(head) % 2:
        return ""
    pairs = len(head) // 2
    first, second = head[0 : 2 * pairs : 2].count(0), head[1 : 2 * pairs : 2].count(0)
    for encoding, zeros, others in (("utf-16-le", second, first), ("utf-16-be", first, second)):
        if pairs and zeros >= _ENOUGH * pairs and others <= _MOST_CONTROLS * pairs:
            return encoding
    return ""


def _pieces(file: BinaryIO) -> Iterator[bytes]:
    file.seek(0)
    while piece := file.read(1 << 20):
        yield piece


def _is_utf8(file: BinaryIO) -> bool:
    decoder = codecs.getincrementaldecoder("utf-8")(errors="surrogateescape")
    whole = odd = 0
    for piece in (*_pieces(file), b""):
        text = decoder.decode(piece, final=not piece)
        if not text.isascii():
            bad = len(_ESCAPED.findall(text))
            odd += bad
            whole += len(_BEYOND_ASCII.findall(text)) - bad
    return not odd or whole > odd


ODD = (
    "a letter in it is not written in UTF-8, as the rest is; here it is as Windows has it: check it"
)
"""What is said of a row with such a letter."""


def opened(path: Path, encoding: str, newline: str | None = "") -> TextIO:
    """A text in which odd bytes of UTF-8 are escaped (PEP 383); `newline` is that of `open`.

    Of other encodings an odd byte is a UnicodeError as it is read.
    """
    utf8 = codecs.lookup(encoding).name in ("utf-8", "utf-8-sig")
    odd = "surrogateescape" if utf8 else "strict"
    return path.open(encoding=encoding, errors=odd, newline=newline)


def is_mostly_utf8(path: Path) -> bool:
    """Whether a file has more letters that are whole in UTF-8 than bytes that are not."""
    with path.open("rb") as file:
        return _is_utf8(file)


def mended(text: str) -> str:
    """A text of UTF-8 whose odd bytes were escaped, with these as Windows has them.

    >>> mended(b"Ren\\xe9 C\\xc3\\xb4te".decode("utf-8", "surrogateescape"))
    'René Côte'
    """
    return _ESCAPED.sub(lambda m: bytes([ord(m[0]) - 0xDC00]).decode("cp1252", "replace"), text)


def _of_one_byte(file: BinaryIO) -> str:
    like: Counter[str] = Counter()
    foreign = False
    for piece in _pieces(file):
        some = b" ".join(_BESIDE_OTHERS.findall(piece)[:_MOST_WORDS]) + b" "
        foreign = foreign or _NOT_IN_WINDOWS.search(some) is not None
        for old in _OLD_SETS:
            text = some.decode(old, "replace")
            like[old] += len(_LIKE_A_WORD.findall(text)) + 2 * len(_QUOTES.findall(text))
            like[old] -= 2 * len(_UNLIKE.findall(text))
    # Of equals the first counts.
    best = max(_OLD_SETS, key=lambda old: like[old])
    return "latin-1" if foreign and best == "cp1252" else best
