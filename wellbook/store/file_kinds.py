"""What a file is by its first bytes, a name for it that can do no harm, and its size in words."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from wellbook.plain_text import on_one_line

HEAD_BYTES: Final = 1445
"""What is looked at: as many as the MIME Sniffing Standard (WHATWG, section 5.2) reads."""

_MARKS: Final = (
    (b"\xff\xd8\xff", "image/jpeg"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"%PDF-", "application/pdf"),
    (b"II*\x00", "image/tiff"),
    (b"MM\x00*", "image/tiff"),
)
# Brands of ISO/IEC 23008-12: a picture coded by HEVC, or by whatever its boxes say.
_HEIF_BRANDS: Final = {
    **dict.fromkeys((b"heic", b"heix", b"heim", b"heis"), "image/heic"),
    b"mif1": "image/heif",
}
# "Binary data bytes" of the MIME Sniffing Standard, section 3: no text has them.
_BINARY: Final = frozenset((*range(0x09), 0x0B, *range(0x0E, 0x1B), *range(0x1C, 0x20)))
_WIDE_TEXT: Final = (b"\xfe\xff", b"\xff\xfe")

_LONGEST_NAME = 120
_NEVER_IN_A_NAME = re.compile(r'[<>:"|?*]')
# Microsoft Learn, "Naming Files, Paths, and Namespaces": these are devices, whatever follows.
_DEVICES = re.compile(r"(?i)(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])\s*(\..*)?")


def media_type(head: bytes) -> str:
    """What a file is, by its first bytes and never by its name.

    Parameters
    ----------
    head
        The first `HEAD_BYTES` of it, or all that it has.

    Returns
    -------
    str
        A media type of the common ones; "application/octet-stream" for any other content.

    Source: the signatures of the formats (ITU-T T.81, ISO/IEC 15948, ISO 32000, TIFF 6.0, ISO/IEC
    23008-12); text as in the MIME Sniffing Standard.

    >>> media_type(b"%PDF-1.7 ..."), media_type(b"0 to 12 ft clay"), media_type(bytes(9))
    ('application/pdf', 'text/plain', 'application/octet-stream')
    """
    for mark, name in _MARKS:
        if head.startswith(mark):
            return name
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
        return _HEIF_BRANDS[head[8:12]]
    if head.startswith(_WIDE_TEXT) or not _BINARY & set(head[:HEAD_BYTES]):
        return "text/plain"
    return "application/octet-stream"


def fit_name(name: str) -> str:
    """A file's name as it is kept and shown: no path in it, nothing that a terminal or a disk obeys.

    >>> fit_name("../../etc/pass wd"), fit_name("C:\\\\scans\\\\log.pdf"), fit_name("nul.txt")
    ('pass wd', 'log.pdf', '_nul.txt')
    """
    flat = unicodedata.normalize("NFC", on_one_line(name))
    last = re.split(r"[/\\]", flat)[-1]
    plain = _NEVER_IN_A_NAME.sub("_", last).lstrip(" ").rstrip(". ")
    if len(plain) > _LONGEST_NAME:
        stem, dot, ending = plain.rpartition(".")
        kept = f".{ending}" if dot and stem and len(ending) <= 10 else ""
        plain = plain[: _LONGEST_NAME - len(kept)].rstrip(". ") + kept
    if _DEVICES.fullmatch(plain) or plain.startswith("."):
        plain = f"_{plain}"
    return plain or "file"


def size_text(size_bytes: int) -> str:
    """How large a file is, in decimal units (SI).

    >>> size_text(640), size_text(48_700), size_text(3_040_000)
    ('640 bytes', '49 kB', '3.0 MB')
    """
    if size_bytes < 1000:
        return f"{size_bytes} byte" + ("" if size_bytes == 1 else "s")
    if size_bytes < 999_500:
        return f"{size_bytes / 1000:.0f} kB"
    millions = size_bytes / 1e6
    return f"{millions:.0f} MB" if millions >= 100 else f"{millions:.1f} MB"
