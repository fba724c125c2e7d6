"""In which encoding a text is written, as its bytes tell.

A byte-order mark says it; text of two bytes a letter is known by the zero in every other byte; what
is whole as UTF-8 is UTF-8, for other text is so by chance in hardly any case. Of the old sets of one
byte a letter two are told apart by where accented letters stand: in those of Windows and ISO 8859
from hexadecimal C0 on, in that of old Macintosh programs from 80 to 9F.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from typing import BinaryIO

from wellbook.errors import WellbookError

_HEAD = 1 << 16
_ENOUGH = 0.4
"""Of every other byte: so many zeros has text of two bytes a letter that is mostly in Latin."""
_MOST_CONTROLS = 0.01
"""The share of signs that no text has, over which a file is no text."""
_CONTROLS = re.compile(rb"[\x00-\x08\x0b\x0e-\x19\x1b-\x1f]")
_WINDOWS = re.compile(rb"[A-Za-z][\xc0-\xcf\xd8-\xf6\xf8-\xff]|[\xe0-\xf6\xf8-\xff][a-z]")
_MACINTOSH = re.compile(
    rb"[A-Za-z][\x80-\x91\x95-\x9f](?=[a-z\s,;\t\r\n\"])|[\x80-\x90\x9a-\x9f][a-z]"
)
_NOT_IN_WINDOWS = re.compile(rb"[\x81\x8d\x8f\x90\x9d]")


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
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        for piece in _pieces(file):
            decoder.decode(piece)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _of_one_byte(file: BinaryIO) -> str:
    windows = macintosh = foreign = 0
    for piece in _pieces(file):
        windows += len(_WINDOWS.findall(piece))
        macintosh += len(_MACINTOSH.findall(piece))
        foreign += len(_NOT_IN_WINDOWS.findall(piece))
    if macintosh > windows:
        return "mac-roman"
    return "latin-1" if foreign else "cp1252"
