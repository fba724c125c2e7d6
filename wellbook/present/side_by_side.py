"""Two records side by side, line by line; what is said of neither takes no line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from rich.cells import cell_len
from rich.text import Text

from wellbook.present.text import clean, wrap

_LABEL, _GAP = 11, 2
_WIDE = 100


def side_by_side(
    one: Mapping[str, Any], other: Mapping[str, Any], width: int | None = None
) -> list[Text]:
    """The lines of two records with the same names of facts.

    Parameters
    ----------
    width
        Columns of the terminal, which no line passes; None into a pipe.

    >>> for line in side_by_side({"name": "12", "phone": ["1"]}, {"name": "47", "phone": []}, 40):
    ...     print(line.plain)
      name     12            47
      phone    1
    """
    each = ((width or _WIDE) - _LABEL - _GAP) // 2
    return list(_lines(one, other, each))


def _lines(one: Mapping[str, Any], other: Mapping[str, Any], each: int) -> Iterator[Text]:
    for name in one:
        left, right = (_rows(card.get(name), each) for card in (one, other))
        for n in range(max(len(left), len(right))):
            label = f"  {name}" if n == 0 else ""
            first = left[n] if n < len(left) else ""
            second = right[n] if n < len(right) else ""
            gap = " " * (each - cell_len(first) + _GAP)
            yield Text(f"{label:<{_LABEL}}{first}{gap}{second}".rstrip())


def _rows(value: Any, width: int) -> list[str]:
    values = value if isinstance(value, list) else [value]
    texts = [" ".join(clean(str(v)).split()) for v in values if v not in (None, "")]
    return [row.plain for text in texts for row in wrap(Text(text), width)]
