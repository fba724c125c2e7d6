"""What a merge comes to, as lines and as JSON; conflicts stand side by side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rich.cells import cell_len
from rich.text import Text

from wellbook.exchange.merging.merged import Count, Merged
from wellbook.exchange.merging.words import TABLE_WORDS, Shown
from wellbook.present.envelope import Shape, envelope
from wellbook.present.tables import table
from wellbook.present.text import clean, wrap

WIDTH = 80
_INDENT = 4
_SOME = 12
"""So many of the visits that come in are named."""
_HALF = (WIDTH - _INDENT - 2) // 2


def merge_lines(merged: Merged) -> Iterator[Text | str]:
    """Counts by table, and every conflict side by side, no line longer than 80 columns."""
    if merged.nothing_new:
        yield "nothing new: this book has all that the other one has"
        return
    if merged.counts:
        rows = [[_word(c), *map(_number, (c.new, c.changed, c.taken_out))] for c in merged.counts]
        yield from table(["what comes in", "new", "changed", "taken out"], rows, WIDTH)
    else:
        yield f"no rows come in; lines of the change log that are new here: {merged.lines}"
    some = merged.visits[:_SOME]
    more = sum(c.new for c in merged.counts if c.table == "sheet") - len(some)
    yield from (Text(f"  {clean(line)}") for line in some)
    if more > 0:
        yield f"  and {more} more"
    if merged.forgotten:
        yield f"forgotten on their wish in the other book, and then here too: {merged.forgotten}"
    if merged.joined:
        yield f"doubles that were joined in the other book, and then here too: {merged.joined}"
    if merged.conflicts:
        yield ""
        yield "changed in both books:"
    for one in merged.conflicts:
        yield from conflict_lines(one)


def conflict_lines(one: Shown) -> Iterator[Text | str]:
    """One conflict: what it is about, and both sides beside each other."""
    pad = " " * _INDENT
    head = wrap(Text(f"{clean(one.what)}: {clean(one.field)}"), WIDTH - _INDENT)
    yield Text(f"{one.number:>3} ") + head[0]
    for line in head[1:]:
        yield Text(pad) + line
    sides = [
        [f"{name}  {clean(by)}".rstrip(), *(x.plain for x in wrap(Text(clean(said)), _HALF))]
        for name, by, said in (
            ("HERE", one.here_by, one.here),
            ("THERE", one.there_by, one.there),
        )
    ]
    longest = max(map(len, sides))
    left, right = (side + [""] * (longest - len(side)) for side in sides)
    for here, there in zip(left, right, strict=True):
        yield f"{pad}{here}{' ' * (_HALF - cell_len(here) + 2)}{there}".rstrip()
    yield f"{pad}decided: {one.decision}" if one.decision else f"{pad}decide: {_or(one.choices)}"


def _or(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"


def _word(count: Count) -> str:
    return TABLE_WORDS.get(count.table, count.table.replace("_", " "))


def _number(n: int) -> str:
    return str(n) if n else "-"


def merge_json(merged: Merged, *, written: bool, copy: str | None) -> Shape:
    """The same for other programs."""
    return envelope(
        "wellbook.merge",
        1,
        written=written,
        copy=copy,
        lines=merged.lines,
        forgotten=merged.forgotten,
        joined=merged.joined,
        counts=[
            {"table": c.table, "new": c.new, "changed": c.changed, "taken_out": c.taken_out}
            for c in merged.counts
        ],
        visits=merged.visits,
        files=[{"well": f.tag, "file": f.file_name, "sha256": f.sha256} for f in merged.files],
        conflicts=list(_conflicts(merged.conflicts)),
    )


def _conflicts(conflicts: Iterable[Shown]) -> Iterator[Shape]:
    for one in conflicts:
        yield {
            "number": one.number,
            "what": one.what,
            "field": one.field,
            "here": one.here,
            "here_by": one.here_by,
            "there": one.there,
            "there_by": one.there_by,
            "choices": list(one.choices),
            "decision": one.decision or None,
        }
