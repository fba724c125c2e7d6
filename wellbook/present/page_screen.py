"""The page of a well on a terminal, the picture beside the string."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest

from rich.cells import cell_len
from rich.text import Text

from wellbook.present import picture
from wellbook.present.finding_lines import draw_finding
from wellbook.present.lines import LONGEST_DATE, Line
from wellbook.present.page import HolePage
from wellbook.present.screen import LABEL, WIDTH, hanging
from wellbook.present.text import clean, one_line

_MARK = LONGEST_DATE + 3
_GAP = 2
_BESIDE = 1
_NARROW = 84
_LEAST_ROWS = 10
_LEGEND = "● measured  ◐ log, paper, plate  ○ told, guessed"

Draw = Callable[[int], Sequence[str]]


def render_page(page: HolePage, draw: Draw | None = None, width: int = WIDTH) -> list[Text]:
    """The page as lines, none wider than `width`.

    Parameters
    ----------
    page
        What is said of the well.
    draw
        Gives the picture for a number of rows; by default the page's own scene is drawn.
    width
        Columns; below 84 the picture stands under the string.
    """
    draw = draw or (lambda height: picture.draw(page.scene, height))
    lines = [
        *_title(page, width),
        *_plain_lines(page.place, width),
        *_hole(page, draw, width),
        *_section(_findings(page, width)),
        *_section(_asked(page, width)),
        *_last(page, width),
        *_load(page, width),
    ]
    for line in lines:
        line.rstrip()
    return lines


# -- sections ----------------------------------------------------------------------------------


def _section(lines: list[Text]) -> list[Text]:
    return [Text(""), *lines] if lines else []


def _title(page: HolePage, width: int) -> list[Text]:
    day = f"as of {page.day}"
    room = width - len(day) - _GAP
    title = Text(one_line(page.title, room), style="bold")
    title.pad_right(width - len(day) - title.cell_len)
    return [title.append(day, style="not bold")]


def _plain_lines(lines: Iterable[Line], width: int) -> Iterator[Text]:
    for line in lines:
        yield from hanging(line.label, Text(clean(line.text)), width)


def _marked(line: Line, width: int) -> list[Text]:
    """A line with its mark and date, where it has them, in a column at the right."""
    bears = bool(line.mark or line.as_of)
    rows = hanging(line.label, Text(clean(line.text)), width - (_MARK if bears else 0))
    if bears:
        rows[0].pad_right(width - _MARK - rows[0].cell_len + 1)
        rows[0].append(
            f"{line.mark or ' '} {one_line(line.as_of, _MARK - 3)}".rstrip(), style="dim"
        )
    return rows


def _heading(text: str, more: str = "") -> Text:
    return Text.assemble((text, "bold"), (f"   {more}" if more else "", "dim"))


def _hole(page: HolePage, draw: Draw, width: int) -> list[Text]:
    """Bore, string and readings, with the picture beside them where there is room for it."""
    beside = width >= _NARROW
    room = width - picture.WIDTH - _BESIDE if beside else width
    since = f"top down, {clean(page.down_since)}" if page.down_since else "top down"
    left = [_heading("THE BORE", _LEGEND)]
    left += [row for line in page.bore for row in _marked(line, room)]
    if not page.bore:
        left.append(Text(f"{'':{LABEL}}nothing on record"))
    if page.string:
        left.append(_heading("THE STRING", one_line(since, room - 13)))
    string = _packed(page.string, room - _MARK - LABEL)
    left += [row for line in (*string, *page.readings) for row in _marked(line, room)]
    drawn = [Text("below ground, ft" if page.scene.features else "", style="dim")]
    if not beside:
        drawn += [Text(row) for row in draw(_LEAST_ROWS)]
        return [Text(""), *left, Text(""), *drawn]
    drawn += [Text(row) for row in draw(max(len(left) - 1, _LEAST_ROWS))]
    return [Text(""), *_side_by_side(left, drawn, room + _BESIDE)]


def _packed(lines: Iterable[Line], room: int) -> Iterator[Line]:
    """Short lines that rest on the same share a row: a screen has few."""
    held: Line | None = None
    for line in lines:
        if held is None:
            held = line
            continue
        both = f"{held.text} · {line.label}: {line.text}"
        same = held.mark and (held.mark, held.as_of) == (line.mark, line.as_of)
        if same and cell_len(both) <= room:
            held = replace(held, text=both)
        else:
            yield held
            held = line
    if held is not None:
        yield held


def _side_by_side(left: list[Text], right: list[Text], at: int) -> Iterator[Text]:
    for one, other in zip_longest(left, right, fillvalue=Text("")):
        row = one.copy()
        row.pad_right(at - row.cell_len)
        yield row + other


def _findings(page: HolePage, width: int) -> list[Text]:
    lines = [row for line in page.findings for row in draw_finding(line, width)]
    for quiet in page.silenced:
        text = Text(clean(f"{quiet.what}: silenced here, {quiet.why}"), style="dim")
        lines += hanging("quiet", text, width, 18)
    for said in page.said:
        lines += hanging("said", Text(clean(said), style="dim"), width, 18)
    head = _heading("WRONG OR DUE", "" if page.findings else "nothing")
    return [head, *lines]


def _asked(page: HolePage, width: int) -> list[Text]:
    """The questions, gathered by topic so that one can run through them on the telephone."""
    topics: dict[str, list[str]] = {}
    for question in page.questions:
        topics.setdefault(question.topic, []).append(question.text)
    texts = [f"{topic}: {' '.join(asked)}" for topic, asked in topics.items()]
    texts += [line.text for line in page.to_find_out]
    return _under("ASK", texts or ["nothing"], width)


def _under(heading: str, texts: Sequence[str], width: int) -> list[Text]:
    """A heading in the label column, and beside it one text after the other."""
    labels = [heading, *("" for _ in texts[1:])]
    pairs = zip(labels, texts, strict=True)
    return [row for label, text in pairs for row in hanging(label, Text(clean(text)), width)]


def _last(page: HolePage, width: int) -> list[Text]:
    room = width - LABEL
    texts = [one_line(f"{line.label}  {line.text}", room) for line in page.last]
    lines = _under("LAST", texts or ["no visit and no call on record"], width)
    return [*lines, *_under("FILES", [one_line(page.files, room)], width)] if page.files else lines


def _load(page: HolePage, width: int) -> list[Text]:
    mind = [Line("mind", " · ".join(page.cautions))] if page.cautions else []
    first, *rest = (*page.load, *mind)
    return [
        *hanging("TO PULL", Text(clean(first.text)), width),
        *_plain_lines(rest, width),
    ]
