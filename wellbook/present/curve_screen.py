"""A pump's curve on a terminal: braille dots, two across and four down to a sign.

Nothing depends on colour: the pump's line is whole, that of well and plumbing is broken, and the marks are
signs of their own. Where a terminal has no such signs, stars stand for the dots.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wellbook.present.curve_plot import LineKind, MarkKind, Plot
from wellbook.present.text import clean

WIDTH = 100
ROWS = 14
_WIDEST = 72
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BRAILLE = 0x2800
_MARKS = {MarkKind.RATED: "◇", MarkKind.WORKS: "◆"}
_DASH, _GAP = 4, 4
"""Dots of a broken line that are drawn, and that are left out."""

_KEYS = {LineKind.PUMP: "⠒⠒⠒⠒", LineKind.SYSTEM: "⠒⠒⠀⠒⠒"}


def draw_curve(plot: Plot, width: int = WIDTH, rows: int = ROWS) -> list[str]:
    """The plot as lines of text, none wider than `width`; its title is for the caller to say.

    Parameters
    ----------
    plot
        What is to be drawn.
    width
        Columns.
    rows
        Rows of the picture itself at most; axis and legend stand below it.
    """
    margin = max(map(len, plot.head.labels)) + 1
    room = min(width - margin - len(plot.flow.name) - 3, _WIDEST)
    canvas = _Canvas(
        # A whole number of signs to a tick, so that equal steps are equally far apart.
        columns=plot.flow.steps * max(room // plot.flow.steps, 1),
        rows=plot.head.steps * max(rows // plot.head.steps, 1),
    )
    for line in plot.lines:
        places = [canvas.place(q, h, plot) for q, h in line.points]
        canvas.dots(_joined(places), broken=line.kind is LineKind.SYSTEM)
    for mark in plot.marks:
        x, y = canvas.place(mark.gpm, mark.head_ft, plot)
        canvas.sign(x // 2, y // 4, _MARKS[mark.kind])
    return [
        plot.head.name,
        *_picture(plot, canvas, margin),
        *_flow_axis(plot, canvas.columns, margin),
        "",
        *_legend(plot, width),
    ]


class _Canvas:
    """Signs in rows; each is dots, or a mark that stands in their place.

    The axes run through the middle of signs: that of flow below the last row, so that a tick and the
    line at its height are in one row.
    """

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.height = columns, rows
        self._bits = [[0] * (columns + 1) for _ in range(rows)]
        self._signs: dict[tuple[int, int], str] = {}

    def place(self, gpm: float, head_ft: float, plot: Plot) -> tuple[int, int]:
        """The dot of a point."""
        x = round(gpm / plot.flow.top * self.columns * 2)
        y = round((1 - head_ft / plot.head.top) * self.height * 4 + 1.5)
        return min(max(x, 0), self.columns * 2 + 1), min(max(y, 0), self.height * 4 - 1)

    def dots(self, places: Iterable[tuple[int, int]], *, broken: bool) -> None:
        for n, (x, y) in enumerate(places):
            if not broken or n % (_DASH + _GAP) < _DASH:
                self._bits[y // 4][x // 2] |= _DOTS[y % 4][x % 2]

    def sign(self, column: int, row: int, sign: str) -> None:
        self._signs[row, column] = sign

    def rows(self) -> Iterator[str]:
        for r, bits in enumerate(self._bits):
            yield "".join(
                self._signs.get((r, c)) or (chr(_BRAILLE + b) if b else " ")
                for c, b in enumerate(bits)
            )


def _joined(places: Iterable[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Each dot of a line once, in its order, with no hole where it is steep."""
    last: tuple[int, int] | None = None
    for x, y in places:
        if last is None:
            yield x, y
        else:
            (x0, y0) = last
            steps = max(abs(x - x0), abs(y - y0))
            for n in range(1, steps + 1):
                yield x0 + round((x - x0) * n / steps), y0 + round((y - y0) * n / steps)
        last = (x, y)


def _picture(plot: Plot, canvas: _Canvas, margin: int) -> Iterator[str]:
    a_tick = canvas.height // plot.head.steps
    labels = dict(zip(range(0, canvas.height, a_tick), reversed(plot.head.labels), strict=False))
    for number, row in enumerate(canvas.rows()):
        label = labels.get(number, "")
        axis = "┤" if label else "│"
        # The line may begin on the axis itself.
        first = row[0] if row[0] != " " else axis
        yield f"{label:>{margin - 1}} {first}{row[1:]}".rstrip()


def _flow_axis(plot: Plot, columns: int, margin: int) -> Iterator[str]:
    """The axis with its ticks, and the numbers under it."""
    a_tick = columns // plot.flow.steps
    axis = "".join("┬" if n % a_tick == 0 else "─" for n in range(columns + 1))
    yield f"{'0':>{margin - 1}} ┼{axis[1:]} {plot.flow.name}"
    numbers = [" "] * (margin + columns + 8)
    free = 0
    for n, label in enumerate(plot.flow.labels):
        start = margin + n * a_tick - (len(label) - 1) // 2
        # On a narrow screen a number that would touch the one before is left out.
        if start >= free:
            numbers[start : start + len(label)] = label
            free = start + len(label) + 1
    yield "".join(numbers).rstrip()


def _legend(plot: Plot, width: int) -> Iterator[str]:
    """What each line and each mark is; broken over two rows where one is too short."""
    said = [f"{_KEYS[line.kind]} {line.kind.value}" for line in plot.lines]
    said += [f"{_MARKS[mark.kind]} {clean(mark.text)}" for mark in plot.marks]
    row = ""
    for one in said:
        if row and len(row) + len(one) + 3 > width:
            yield row
            row = ""
        row = f"{row}   {one}" if row else one
    yield row
