"""How alike two words are, as Jaro and Winkler measure it.

M. A. Jaro, "Advances in record-linkage methodology as applied to matching the 1985 census of Tampa,
Florida", JASA 84 (1989) 414; W. E. Winkler, "String comparator metrics and enhanced decision rules
in the Fellegi-Sunter model of record linkage", Proc. Section on Survey Research Methods, ASA (1990)
354.
"""

from __future__ import annotations

from functools import lru_cache
from operator import ne

_PREFIX = 4
_STEP = 0.1


def jaro(one: str, other: str) -> float:
    """Jaro's measure: 1 for the same word, 0 for two that share no letter.

    >>> jaro("martha", "marhta")
    0.944
    """
    if one == other:
        return 1.0
    reach = max(max(len(one), len(other)) // 2 - 1, 0)
    left = other
    mine, places = [], []
    for n, letter in enumerate(one):
        at = left.find(letter, max(0, n - reach), n + reach + 1)
        if at >= 0:
            # No word has this letter: what was met once is met no more.
            left = f"{left[:at]}\0{left[at + 1 :]}"
            mine.append(letter)
            places.append(at)
    if not mine:
        return 0.0
    theirs = [other[at] for at in sorted(places)]
    swapped: int = sum(map(ne, mine, theirs)) // 2
    count = len(mine)
    return (count / len(one) + count / len(other) + (count - swapped) / count) / 3


@lru_cache(maxsize=8192)
def alike(one: str, other: str) -> float:
    """Winkler's measure: Jaro's, raised where the words begin alike.

    >>> alike("dixon", "dicksonx")
    0.813
    """
    plain = jaro(one, other)
    same = 0
    for a, b in zip(one[:_PREFIX], other[:_PREFIX], strict=False):
        if a != b:
            break
        same += 1
    return plain + same * _STEP * (1 - plain)
