"""What a line such as "1/2hp 7gpm 2011 @ 240" says of a well and of what hangs in it: a proposal.

Twenty years of a shop's spreadsheet have one cell for the whole string. What is written so that it
can be one thing only is read; what can be two is read as the likelier of them and the other is said;
what is not understood is given back as it stood. Nothing of it is taken before somebody has said so.
How the trade writes these lines: common practice, no published source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

Values = dict[str, str]


@dataclass(frozen=True, slots=True)
class EquipmentText:
    """What a text says.

    Parameters
    ----------
    said
        By the names of a mapping (`pump.hp`), as a visit sheet has it, with units.
    doubts
        What can be read otherwise too, each in words.
    unread
        What was not understood, as it stood; "" where all was.
    """

    said: Values
    doubts: tuple[str, ...]
    unread: str


_GAP = "\x00"
_NUMBER = r"(\d+(?:\.\d+)?)"
_POWER = r"(\d+[- ]\d/\d|\d/\d|\d*\.\d+|\d+)"
_LENGTH = r"(\d+(?:\.\d+)?)\s*('|ft\b\.?|feet\b|foot\b|m\b|metres\b|meters\b)"
_YEAR = r"(19[5-9]\d|20[0-4]\d)"
_BEFORE = r"(?<![\w./-])"
_MATERIALS = r"poly(?:ethylene)?|pvc|galv(?:anized|anised|\.)?|stainless|steel|copper"
_NAMES = {"poly": "polyethylene", "galv": "galvanized", "pvc": "PVC"}
_SUPPLIES_V = frozenset({"110", "115", "120", "208", "220", "230", "240", "460", "480"})
"""Voltages of supplies, by which a bare number is told from a depth (ANSI C84.1, from memory)."""


def _one(target: str, unit: str = "") -> Callable[[re.Match[str]], Values]:
    return lambda m: {target: f"{m[1].strip()} {unit}".strip()}


def _length(target: str) -> Callable[[re.Match[str]], Values]:
    return lambda m: {target: f"{m[1]} {'m' if m[2].startswith('m') else 'ft'}"}


def _material(text: str) -> str:
    return next((name for start, name in _NAMES.items() if text.startswith(start)), text)


def _pipe(found: re.Match[str]) -> Values:
    return {"pipe.nominal_in": f"{found[1]} in", "pipe.material": _material(found[2].lower())}


def _cable(found: re.Match[str]) -> Values:
    said = {"cable.awg": found[1], "cable.conductors": found[2]}
    return {**said, "cable.ground_wire": "yes"} if found[3] else said


def _switch(found: re.Match[str]) -> Values:
    return {"switch.cut_in_psi": f"{found[1]} psi", "switch.cut_out_psi": f"{found[2]} psi"}


def _phases(found: re.Match[str]) -> Values:
    return {"motor.phases": "1" if found[1].lower() in ("1", "single") else "3"}


def _type(found: re.Match[str]) -> Values:
    word = found[1].lower()
    return {"pump.type": {"sub": "submersible", "hand": "hand"}.get(word[:4].strip(), word)}


_PATTERNS: tuple[tuple[str, Callable[[re.Match[str]], Values]], ...] = (
    # The well itself, before its pump: each has a word of its own.
    (rf"\b(?:t\.?d\.?|total depth|well depth|depth)\s*[:=@]?\s*{_LENGTH}", _length("depth_ft")),
    (rf"{_LENGTH}\s*(?:deep|well|t\.?d\.?)\b", _length("depth_ft")),
    (
        rf"\b(?:s\.?w\.?l\.?|static(?: level)?|water at|w/l)\s*[:=@]?\s*{_LENGTH}",
        _length("water_level_ft"),
    ),
    (rf"{_LENGTH}\s*(?:static|swl)\b", _length("water_level_ft")),
    (
        rf"\b(?:yields?|makes|produces|recovery|well)\s*[:=@]?\s*{_NUMBER}\s*g\.?p\.?m\.?(?!\w)",
        _one("yield_gpm", "gpm"),
    ),
    (rf"{_BEFORE}{_NUMBER}\s*g\.?p\.?m\.?\s*(?:yield|well)\b", _one("yield_gpm", "gpm")),
    # Tank and switch.
    (
        rf"{_BEFORE}{_NUMBER}\s*-?gal(?:lon)?s?\.?\s*(?:pressure\s*|press\.?\s*|bladder\s*)?tank\b",
        _one("tank.volume_gal", "gal"),
    ),
    (rf"\btank\s*[:=]?\s*{_NUMBER}\s*gal(?:lon)?s?\b\.?", _one("tank.volume_gal", "gal")),
    (r"(?<![\d/-])(20|30|40|50)\s*[/-]\s*(40|50|60|70)\s*(?:psi|switch|sw)\b", _switch),
    (r"(?<![\d/-])(20|30|40|50)/(40|50|60|70)(?![\d/-])", _switch),
    # Pipe and cable.
    (r"\bsch(?:ed(?:ule)?)?\.?\s*(40|80|120)\b", lambda m: {"pipe.wall": f"sch. {m[1]}"}),
    (
        rf"{_BEFORE}(\d[- ]\d/\d|\d/\d|\d(?:\.\d+)?)\s*(?:\"|in\b\.?|inch\b)[\s{_GAP}]*"
        rf"({_MATERIALS})\b(?: (?:drop )?pipe\b)?",
        _pipe,
    ),
    (rf"{_BEFORE}(\d{{3}})\s*(?:psi|#)(?!\w)", _one("pipe.rating_psi", "psi")),
    (
        r"(?<![\w/.])#?(14|12|10|8|6|4)\s*[/-]\s*([234])"
        r"(\s*(?:w/?\s*g(?:rd|nd|round)?|with ground))?\b(?!\s*(?:hp|h\.p|\"|in\b|[/-]))"
        r"(?:\s*(?:wire|cable)\b(?!\s*\d))?",
        _cable,
    ),
    (r"(?<!\w)#\s*(14|12|10|8|6|4|2)\s*(?:wire|cable)?\b", _one("cable.awg")),
    (r"\b(14|12|10|8|6|4|2)\s*(?:ga(?:uge)?|awg)\b\.?(?:\s*(?:wire|cable)\b)?", _one("cable.awg")),
    (rf"\b(?:wire|cable)\s*[:=]?\s*{_LENGTH}", _length("cable.to_ft")),
    (rf"{_LENGTH}\s*(?:of )?(?:wire|cable)\b", _length("cable.to_ft")),
    (rf"\b(?:(?:drop )?pipe)\s*[:=]?\s*{_LENGTH}", _length("pipe.to_ft")),
    (rf"{_LENGTH}\s*(?:of )?(?:drop )?pipe\b", _length("pipe.to_ft")),
    (r"\b([23])[- ]?wire\b", _one("motor.wires")),
    # Pump and motor.
    (rf"{_BEFORE}{_POWER}\s*-?\s*(?:h\.?p\.?(?!\w)|horse(?:power)?\b)", _one("pump.hp", "hp")),
    (rf"{_BEFORE}{_NUMBER}\s*kw\b", _one("pump.hp", "kW")),
    (rf"{_BEFORE}{_NUMBER}\s*g\.?p\.?m\.?(?!\w)", _one("pump.rated_gpm", "gpm")),
    (
        rf"{_BEFORE}{_NUMBER}\s*(?:l/min|lpm|l\.?p\.?m\.?)(?!\w)",
        _one("pump.rated_gpm", "l/min"),
    ),
    (rf"{_BEFORE}(\d{{3}})\s*v(?:olts?|ac)?\b\.?", _one("motor.supply_v", "v")),
    (r"\b(1|3|single|three)[- ]?(?:ph(?:ase)?\b|ø)\.?", _phases),
    (r"\b(sub(?:mersible)?|hand[- ]?pump)\b(?:\s*pump\b)?", _type),
    (
        rf"(?:@|\bset(?:ting)?(?: at| @)?|\bat|\bhung at|\bpump(?: at| @)?)\s*[:=]?\s*{_LENGTH}",
        _length("pump.set_depth_ft"),
    ),
    (
        rf"\b(?:mod(?:el)?\.?(?: year| yr)?|mfg|mfd|made)\s*[:=]?\s*{_YEAR}\b",
        _one("pump.model_year"),
    ),
    (
        rf"\b(?:inst(?:alled|\.)?|set|new|replaced|repl\.?|pump)\s*(?:in)?\s*[:=]?\s*{_YEAR}\b",
        _one("pump.set_on"),
    ),
)
_READERS = tuple((re.compile(pattern, re.IGNORECASE), values) for pattern, values in _PATTERNS)
_BARE_YEAR = re.compile(rf"(?<![\w./-])(?:{_YEAR}|'(\d\d))(?![\w/.-])")
_BARE_DEPTH = re.compile(
    r"(?:@|\bset at|\bset @|\bset|\bat|\bhung at)\s*(\d{2,4}(?:\.\d+)?)(?![\w/.'-])", re.IGNORECASE
)


def read_equipment(text: str) -> EquipmentText:
    """Read a line of a shop's own shorthand.

    >>> found = read_equipment("1/2hp 7gpm 2011 @ 240")
    >>> found.said["pump.hp"], found.said["pump.rated_gpm"], found.said["pump.set_depth_ft"]
    ('1/2 hp', '7 gpm', '240 ft')
    >>> found.doubts
    ('240 is read as the setting in feet; it can be volts',
     '2011 is read as the year of setting; it can be the model year')
    >>> read_equipment("3/4 hp sub, 230v, 1-1/4\\" poly 160 psi, #12 wire, Earl put it in").unread
    'Earl put it in'
    """
    rest = " ".join(text.replace(_GAP, " ").split())
    said: Values = {}
    doubts: list[str] = []
    for pattern, values in _READERS:
        for found in list(pattern.finditer(rest)):
            new = values(found)
            if any(said.get(target, value) != value for target, value in new.items()):
                doubts.append(_second(found[0].strip(), new, said))
                continue
            said |= new
            rest = _without(rest, found)
    rest = _bare(rest, said, doubts)
    return EquipmentText(said, tuple(doubts), _unread(rest))


def _second(words: str, new: Values, said: Values) -> str:
    target = next(t for t, v in new.items() if said.get(t, v) != v)
    return f"'{words}' is a second {target.rpartition('.')[2]} beside {said[target]}; not read"


def _without(text: str, found: re.Match[str]) -> str:
    # The same length, so that the places of other matches stay.
    return text[: found.start()] + _GAP * len(found[0]) + text[found.end() :]


def _bare(rest: str, said: Values, doubts: list[str]) -> str:
    """Numbers with no word of their own: a setting without its unit, a year that may be two."""
    found = _BARE_DEPTH.search(rest)
    if found and "pump.set_depth_ft" not in said:
        said["pump.set_depth_ft"] = f"{found[1]} ft"
        other = "volts" if found[1] in _SUPPLIES_V and "motor.supply_v" not in said else "metres"
        doubts.append(f"{found[1]} is read as the setting in feet; it can be {other}")
        rest = _without(rest, found)
    years = list(_BARE_YEAR.finditer(rest))
    if len(years) == 1 and "pump.set_on" not in said:
        (found,) = years
        # Two digits with an apostrophe: of this century, unless that would be far ahead of us.
        year = found[1] or ("20" if int(found[2]) < 50 else "19") + found[2]
        said["pump.set_on"] = year
        if "pump.model_year" not in said:
            doubts.append(f"{year} is read as the year of setting; it can be the model year")
        rest = _without(rest, found)
    return rest


def _unread(rest: str) -> str:
    parts: Iterator[str] = (p.strip(" ,;:.-/|@") for p in rest.split(_GAP))
    return " ".join(" ".join(p for p in parts if p).split())
