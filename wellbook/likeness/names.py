"""Names of people and firms, compared whichever way round and however shortened they were written.

Titles, the forms of firms and the short forms of given names are common practice, no published
source: a small table of what is often met, not a dictionary.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache

from wellbook.likeness.plain_words import plain_words
from wellbook.likeness.strings import alike

_TITLES = frozenset("mr mrs ms miss dr prof rev sir madam the estate of c o attn".split())
_GENERATIONS = frozenset("jr sr ii iii iv".split())
_FIRMS = frozenset(
    "inc incorporated llc lc llp lp pllc ltd limited co company corp corporation plc".split()
)
_NOT_NAMES = _TITLES | _GENERATIONS | _FIRMS | {"and"}
# Each line is one name; common practice, no published source.
_SHORT = """
abigail abby abbie; albert al bert; alexander alex; alfred fred; andrew andy drew; anthony tony
barbara barb; benjamin ben; catherine katherine kathryn kathy cathy kate katie; charles charlie chuck
christopher chris; cynthia cindy; daniel dan danny; david dave; deborah debra deb debbie; donald don
edward ed eddie ted; elizabeth liz beth betty; eugene gene; francis frank; frederick fred
gerald jerry; gregory greg; harold hal; henry hank; jacob jake; james jim jimmy; jeffrey jeff
jennifer jen jenny; jessica jess; john jon jack johnny; jonathan jon; joseph joe; joshua josh
kenneth ken; lawrence larry; leonard len; leroy roy; margaret maggie peg peggy; matthew matt
michael mike; nancy nan; nicholas nick; patricia pat patty trish; patrick pat; peter pete
philip phil; raymond ray; rebecca becky; richard rick dick rich; robert bob bobby rob; ronald ron
samuel sam; samantha sam; stephen steven steve; susan sue susie; theodore ted; thomas tom tommy
timothy tim; victoria vicky; vincent vince; virginia ginny; walter walt; william bill billy will
zachary zach
"""
_GROUPS = [line.split() for line in re.split(r"[;\n]", _SHORT) if line.strip()]
SHORT_FORMS: dict[str, frozenset[str]] = {
    word: frozenset(group[0] for group in _GROUPS if word in group)
    for word in {word for group in _GROUPS for word in group}
}
"""Given names that a name may be short for: "pat" for two of them."""

_CLOSE, _NEAR = 0.92, 0.85
"""By `strings.alike`: a slip of the pen; words that may be the same. Common practice."""


class NameFit(IntEnum):
    """How two names fit, best last."""

    UNKNOWN = 0
    """One of them is not known."""
    OTHER = 1
    FAMILY = 2
    """One family name, other given names: a household, or chance."""
    NEAR = 3
    """A slip or two, or a given name that is only an initial, or missing."""
    SAME = 4


@dataclass(frozen=True, slots=True)
class Name:
    """A name, taken apart. A firm has no family: its words are all in `given`."""

    given: tuple[str, ...]
    family: str
    generation: str

    @property
    def words(self) -> tuple[str, ...]:
        """All its words that tell it from others, given names in their full form."""
        return tuple(_full(word) for word in self.given) + ((self.family,) if self.family else ())


def _full(word: str) -> str:
    known = SHORT_FORMS.get(word)
    return min(known) if known else word


@lru_cache(maxsize=2048)
def read_name(text: str) -> Name:
    """A name as it was written: "Smith, John", "JOHN SMITH", "Mr. & Mrs. J. Smith Jr.", "Acme, Inc."

    >>> read_name("Smith, John Jr.")
    Name(given=('john',), family='smith', generation='jr')
    >>> read_name("ACME Pumps, Inc.").words
    ('acme', 'pumps')
    """
    first, comma, rest = re.sub(r"\([^()]*\)", " ", text).partition(",")
    before, behind = plain_words(first), plain_words(rest)
    words = before + behind
    firm = any(word in _FIRMS for word in words)
    generation = next((word for word in words if word in _GENERATIONS), "")
    kept = [w for w in words if w not in _NOT_NAMES]
    if firm or not kept:
        return Name(tuple(kept), "", "")
    told = [w for w in behind if w in kept]
    if comma and told and (family := [w for w in before if w in kept]):
        return Name(tuple(told), " ".join(family), generation)
    return Name(tuple(kept[:-1]), kept[-1], generation)


@lru_cache(maxsize=2048)
def told_name(text: str) -> str:
    """A name's words in alphabetical order, short forms written out, initials left out where two
    other words are there; "" where it has no letters.

    >>> told_name("Smith, Bob T."), told_name("ROBERT SMITH"), told_name("Acme Pump Co.")
    ('robert smith', 'robert smith', 'acme pump')
    """
    words = {part for word in read_name(text).words for part in word.split()}
    longer = {word for word in words if len(word) > 1}
    return " ".join(sorted(longer if len(longer) > 1 else words))


_NO_CONSONANTS, _TWICE = re.compile(r"[aeiouyhw]"), re.compile(r"(.)\1")


def name_key(text: str) -> str:
    """By which a name is looked up: of each word the first letter and the next two consonants, so
    that most slips of the pen meet. "" where it says nothing.

    >>> name_key("Smith, Bob T."), name_key("ROBERT SMYTH"), name_key("Acme Pump Co.")
    ('rbr smt', 'rbr smt', 'acm pmp')
    """
    return " ".join(sorted({_bones(word) for word in told_name(text).split()}))


def _bones(word: str) -> str:
    consonants = _NO_CONSONANTS.sub("", word[1:])
    return _TWICE.sub(r"\1", word[0] + consonants)[:3]


def compare_names(one: str, other: str) -> NameFit:
    """How two names fit."""
    a, b = read_name(one), read_name(other)
    if not a.words or not b.words:
        return NameFit.UNKNOWN
    if a.generation and b.generation and a.generation != b.generation:
        return NameFit.FAMILY
    if told_name(one) == told_name(other):
        return NameFit.SAME
    if not a.family or not b.family:
        return _firms(a, b)
    # Whoever wrote the family first without a comma wrote "Smith John".
    return max(_people(a, b), _people(a, _turned(b)), _people(_turned(a), b))


def _turned(name: Name) -> Name:
    if not name.given:
        return name
    return Name((*name.given[1:], name.family), name.given[0], name.generation)


def _people(a: Name, b: Name) -> NameFit:
    family = alike(a.family, b.family)
    if family < _NEAR:
        return NameFit.OTHER
    given = _given(a.given, b.given)
    if family >= _CLOSE:
        return NameFit.NEAR if given is None or given >= _NEAR else NameFit.FAMILY
    return NameFit.NEAR if given is not None and given >= _CLOSE else NameFit.OTHER


def _given(one: tuple[str, ...], other: tuple[str, ...]) -> float | None:
    """How alike given names are, of several the best; None where one has none."""
    if not one or not other:
        return None
    return max(_one_given(a, b) for a in one for b in other)


def _one_given(a: str, b: str) -> float:
    if a == b or SHORT_FORMS.get(a, frozenset({a})) & SHORT_FORMS.get(b, frozenset({b})):
        return 1.0
    if len(a) == 1 or len(b) == 1:
        return _NEAR if a[0] == b[0] else 0.0
    return alike(a, b)


def _firms(a: Name, b: Name) -> NameFit:
    """Of a firm every word counts: those that the shorter name shares with the longer one."""
    shorter, longer = sorted((a.words, b.words), key=len)
    fits = [max(alike(word, other) for other in longer) for word in shorter]
    if len(shorter) > 1 and all(fit >= _CLOSE for fit in fits):
        return NameFit.NEAR
    return NameFit.OTHER
