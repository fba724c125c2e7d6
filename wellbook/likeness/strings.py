"""How alike two words are, as Jaro and Winkler measure it.

M. A. Jaro, "Advances in record-linkage methodology as applied to matching the 1985 census of Tampa,
Florida", JASA 84 (1989) 414; W. E. Winkler, "String comparator metrics and enhanced decision rules
in the Fellegi-Sunter model of record linkage", Proc. Section on Survey Research Methods, ASA (1990)
354.
"""

from __future__ import annotations

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
    taken = [False] * len(other)
    shared = []
    for n, letter in enumerate(one):
        for m in range(max(0, n - reach), min(len(other), n + reach + 1)):
            if not taken[m] and other[m] == letter:
                taken[m] = True
                shared.append(letter)
                break
    if not shared:
        return 0.0
    theirs = [letter for letter, used in zip(other, taken, strict=True) if used]
    swapped = sum(a != b for a, b in zip(shared, theirs, strict=True)) // 2
    count = len(shared)
    return (count / len(one) + count / len(other) + (count - swapped) / count) / 3


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
