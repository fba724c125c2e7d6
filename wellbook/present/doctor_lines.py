"""A look through a book: what was looked at, what is wrong, what to do."""

from __future__ import annotations

from collections.abc import Sequence

from wellbook.present.envelope import Shape, envelope
from wellbook.present.text import plural
from wellbook.store.looked_at import Looked

_MOST = 10
"""So many of one kind are shown to a person; a program gets all."""


def doctor_lines(looked: Sequence[Looked]) -> list[str]:
    """A line for each thing, what is wrong below it, and what comes of it all."""
    width = max(len(one.name) for one in looked) + 2
    lines = []
    for one in looked:
        many = plural(one.many, one.of)
        state = f"WRONG: {len(one.wrong):,}" if one.wrong else one.held
        lines.append(f"{one.name:<{width}}{many}: {state}")
        for wrong in one.wrong[:_MOST]:
            to_do = wrong.to_do or "wellbook doctor --mend"
            lines.append(f"  {wrong.where}: {wrong.what} → {to_do}")
        if len(one.wrong) > _MOST:
            lines.append(f"  and {len(one.wrong) - _MOST:,} more; all of them: --json")
    return [*lines, _in_short(looked)]


def _in_short(looked: Sequence[Looked]) -> str:
    wrong = [w for one in looked for w in one.wrong]
    if not wrong:
        return "Nothing is wrong."
    mends = sum(w.mends for w in wrong)
    by_itself = f"; {mends:,} can be mended: wellbook doctor --mend" if mends else ""
    return f"{plural(len(wrong), 'thing')} wrong{by_itself}"


def wrong_in(looked: Sequence[Looked]) -> int:
    """How many things are wrong."""
    return sum(len(one.wrong) for one in looked)


def doctor_json(looked: Sequence[Looked], *, mended: int, backup: str | None) -> Shape:
    """A look through a book, for programs."""
    return envelope(
        "wellbook.doctor",
        1,
        looked_at=[
            {
                "name": one.name,
                "count": one.many,
                "wrong": [
                    {"where": w.where, "what": w.what, "to_do": w.to_do or None, "mends": w.mends}
                    for w in one.wrong
                ],
            }
            for one in looked
        ],
        wrong=wrong_in(looked),
        mended=mended,
        backup=backup,
    )
