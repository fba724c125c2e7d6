"""Letters and postcards from plain text: what they say is made elsewhere, here it is only placed.

The receiver stands where a No. 10 envelope with a left window shows him, folded in three (its window is 4-1/2 by
1-1/8 in, 7/8 in from the left and 1/2 in from the bottom: common dimensions, from memory), however the
sheet slips in it; nothing else stands there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from wellbook.paper.blocks import SIZE, Block, Gap, Paragraph
from wellbook.paper.booklet import MARGIN, WIDE, foot_line
from wellbook.paper.faces import BOLD, REGULAR, Setter
from wellbook.paper.inks import INCH, LETTER_HIGH, Ink, Leaf, Put, Rule, moved
from wellbook.paper.strips import Band, Strip, TooLongError, paged

_SIDE = 1.0 * INCH
_ROOM = WIDE + 2 * MARGIN - 2 * _SIDE
_WINDOW = (_SIDE, 2.5 * INCH, 3.3 * INCH)
"""Where the address begins, and how wide it may be: seen in the window wherever the sheet lies."""
_WINDOW_HIGH = 0.667 * INCH
"""How much of the sheet below that is always seen: 1-1/8 in less the 0.458 in that it may slip."""
_ADDRESS_SIZE, _ADDRESS_ROW, _ADDRESS_ROWS = 10.0, 12.0, 5
_SENDER_ROWS = 7
_BODY = 3.9 * INCH
"""Where the date stands on the first page: below the window."""
_TOP = 1.0 * INCH
_FOOT = LETTER_HIGH - MARGIN - 24.0


@dataclass(frozen=True, slots=True)
class LetterText:
    """What a letter or a card says.

    Parameters
    ----------
    sender, receiver
        Rows of the address, the name first. A receiver has at most five.
    day
        Of the letter.
    about
        The well or property, at the foot of each page.
    subject
        In one line or more, in bold.
    paragraphs
        The text, plain; each may be of any length.
    signature
        Who signs, under the line for it.
    """

    sender: tuple[str, ...]
    receiver: tuple[str, ...]
    day: date
    about: str
    subject: str
    paragraphs: tuple[str, ...]
    signature: str


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter, of as many pages as it takes."""

    text: LetterText

    def leaves(self, setter: Setter) -> Iterator[Leaf]:
        """Its pages, each with the count.

        Raises
        ------
        TooLongError
            If the receiver's address does not fit a window.
        """
        text = self.text
        first = _FOOT - _BODY
        pages = list(paged(_bands(_body(text), setter, _ROOM), first, _FOOT - _TOP))
        for n, inks in enumerate(pages, start=1):
            who = text.sender[0] if text.sender else ""
            said = " · ".join(word for word in (who, text.about, str(text.day)) if word)
            head = tuple(_head(setter, text)) if n == 1 else ()
            foot = foot_line(setter, said, f"page {n} of {len(pages)}")
            body = moved(inks, _SIDE, _BODY if n == 1 else _TOP)
            yield Leaf((*head, *body, *foot))


def _bands(blocks: Iterator[Block], setter: Setter, room: float) -> Iterator[Band]:
    for block in blocks:
        yield from block.bands(setter, room)


def _head(setter: Setter, text: LetterText) -> Iterator[Ink]:
    """The sender above the window, the receiver in it."""
    y = 0.75 * INCH
    named = setter.rows(text.sender[0], BOLD, 10, _ROOM) if text.sender else []
    reached = _rows(setter, text.sender[1:], 10, _ROOM, _SENDER_ROWS - len(named))
    for n, row in enumerate((*named, *reached)):
        yield Put(_SIDE, y + n * 13.0, row, BOLD if n < len(named) else REGULAR, 10)
    x, top, room = _WINDOW
    rows = _address(setter, text.receiver, room)
    # Five rows take smaller letters, so that the last is still seen.
    size = _ADDRESS_SIZE if len(rows) < _ADDRESS_ROWS else _ADDRESS_SIZE - 1
    apart = min(_ADDRESS_ROW, _WINDOW_HIGH / max(len(rows), 1))
    for n, row in enumerate(rows):
        yield Put(x, top + n * apart + size * 0.78, row, size=size)


def _address(setter: Setter, lines: Sequence[str], room: float) -> list[str]:
    return _rows(setter, lines, _ADDRESS_SIZE, room, _ADDRESS_ROWS)


def _rows(setter: Setter, lines: Sequence[str], size: float, room: float, most: int) -> list[str]:
    """The rows of an address: all of them, or none."""
    rows = [row for line in lines for row in setter.rows(line, REGULAR, size, room) if row]
    if len(rows) > most:
        raise TooLongError(
            f"the address of {lines[0][:40]} takes {len(rows)} rows; there is room for {most}"
        )
    return rows


def _body(text: LetterText) -> Iterator[Block]:
    yield Paragraph(f"{text.day:%B} {text.day.day}, {text.day.year}", after=14)
    if text.subject:
        yield Paragraph(text.subject, face=BOLD, after=10)
    yield from _paragraphs(text, SIZE, after=9)
    yield _Signature(text.signature)


def _paragraphs(text: LetterText, size: float, after: float) -> Iterator[Block]:
    """What is said; a line break within a paragraph is a line break on paper."""
    for paragraph in text.paragraphs:
        *lines, last = paragraph.split("\n")
        yield from (Paragraph(line, size, after=0) for line in lines)
        yield Paragraph(last, size, after=after)


@dataclass(frozen=True, slots=True)
class _Signature:
    """A line to sign on, with the name under it: never apart from each other."""

    name: str

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        yield Strip(48, (Rule(0, 44, 3 * INCH, 44, 0.6),), keeps=True)
        yield from Paragraph(self.name).bands(setter, room)


# -- postcards ----------------------------------------------------------------------------------

_CARD_WIDE, _CARD_HIGH = 6.0 * INCH, 4.0 * INCH
_CARD_MARGIN = 0.3 * INCH
_CARD_SIZES = (11.0, 10.0, 9.0)


@dataclass(frozen=True, slots=True)
class Postcard:
    """A card of 6 by 4 in: the address side, then the text side."""

    text: LetterText

    def leaves(self, setter: Setter) -> Iterator[Leaf]:
        """Both sides.

        Raises
        ------
        TooLongError
            If address or text do not fit, even in the smallest letters that can be read.
        """
        yield Leaf(tuple(self._address_side(setter)), _CARD_WIDE, _CARD_HIGH)
        yield Leaf(self._text_side(setter), _CARD_WIDE, _CARD_HIGH)

    def _address_side(self, setter: Setter) -> Iterator[Ink]:
        for n, row in enumerate(_rows(setter, self.text.sender, 9, 3 * INCH, 7)):
            yield Put(_CARD_MARGIN, _CARD_MARGIN + 9 + n * 12, row, size=9)
        # The stamp is above at the right, and the post prints along the foot.
        x, y = 2.6 * INCH, 1.9 * INCH
        for n, row in enumerate(_address(setter, self.text.receiver, _CARD_WIDE - x - 20)):
            yield Put(x, y + n * 14, row, size=_ADDRESS_SIZE)

    def _text_side(self, setter: Setter) -> tuple[Ink, ...]:
        room, high = _CARD_WIDE - 2 * _CARD_MARGIN, _CARD_HIGH - 2 * _CARD_MARGIN
        for size in _CARD_SIZES:
            pages = list(paged(_bands(self._said(size), setter, room), high, high))
            if len(pages) == 1:
                return tuple(moved(pages[0], _CARD_MARGIN, _CARD_MARGIN))
        raise TooLongError(f"too much text for a card about {self.text.about}; send a letter")

    def _said(self, size: float) -> Iterator[Block]:
        text = self.text
        who = text.sender[0] if text.sender else ""
        said = " · ".join(w for w in (who, text.about, str(text.day)) if w)
        yield Paragraph(said, size - 2, after=4)
        yield Paragraph(text.subject, size, BOLD, after=4)
        yield from _paragraphs(text, size, after=4)
        yield Gap(2)
        yield Paragraph(text.signature, size, after=0)
