"""Texts that somebody may type, paste or bring in, and what of them may never reach a screen."""

from __future__ import annotations

import re

_SQL = "'; DROP TABLE well; --"
# ECMA-48: CSI and OSC in seven bits (ESC [, ESC ]) and in eight (U+009B, U+009D), DCS (U+0090).
_TERMINAL = "\x1b[31m \x1b]0;owned\x07 \x9b31m \x9d52;c;eA==\x9c \x90q\x9c \x07 \x08\x08 \x7f"
# Unicode Standard Annex 9: overrides and isolates; U+200E, U+200F marks; zero width and BOM.
_BIDI = "\u202egnp.exe\u202c \u2066x\u2069 \u200e\u200f \u200b\u2060\ufeff \u061c"
_MARKUP = "[red]x[/red] [link=file:///x]y[/] **b** `c` <script>alert(1)</script> <b>&amp; ]]>"
_FILLED = "%s %n {0} {name} {{ name }} {% if x %} $(id) `id` ${HOME} ~ \\ \\n"
_LINES = "a\r\nBcc: all@example.org\r\n\r\nBEGIN:VEVENT\nEND:VCARD\u2028\x85\x0b\x0cb"
_PILE = "Z" + "\u0300\u0489" * 40 + " \U0001f469\u200d\U0001f527 \U0001f1fa\U0001f1f8 \u0130\ufb03"

TEXTS: dict[str, str] = {
    "formula": f"=cmd|' /C calc'!A0 {_SQL}",
    "plus": f"+1 {_TERMINAL}",
    "minus": f"-1 {_BIDI}",
    "at": f"@SUM(A1) {_MARKUP}",
    "tab": f"\t=1+1 {_FILLED}",
    "lines": _LINES,
    "option": "--help",
    "path": "../../../etc/passwd",
    "windows path": "C:\\con\\..\\aux.txt:x",
    "json": '{"a": [1, null], "b": "\\u0000"}',
    "date": "2026-11-25",
    "url": "https://example.org/?a=b&c=%00#d",
    "pile": _PILE,
    "quote": "\"'`\\",
    "long": "x" * 100_000,
}
"""By what each is about."""

ALL = " ".join(text for name, text in TEXTS.items() if name != "long")

NEVER_SHOWN = re.compile(
    # All controls but the line's end; C1; bidirectional controls; zero width but for the joiners;
    # line and paragraph separators; halves of pairs.
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028\u2029\u202a-\u202e\u2060-\u206f\ufeff"
    "\ud800-\udfff]"
)
"""What may not reach a terminal."""
