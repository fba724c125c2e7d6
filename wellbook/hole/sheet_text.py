"""The visit sheet as text: a sheet on record written back, and a new one to fill in.

Only text is made here; opening an editor on it is the command line's part.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import fields
from datetime import date, time
from enum import StrEnum
from typing import Any

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Part
from wellbook.hole.places import MANY
from wellbook.hole.toml_lines import lines_of, twice
from wellbook.terms import IN_THE_HOLE, SECTIONED, Basis, Cause, FoundKind, Kind, Reason

# -- reading ------------------------------------------------------------------------------------


def plain_tables(text: str) -> dict[str, Any]:
    """A sheet's text as plain tables. A line left blank says nothing, as if it were not there.

    >>> plain_tables('reason = ""\\ncrew = []')
    {'crew': []}

    Raises
    ------
    ValueError
        If it is no TOML; the standard reader's own message, with line and column, unless something
        stands twice: then what it is, in plain words.
    """
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        plainer = _stands_twice(text) if str(error).startswith("Cannot ") else ""
        if plainer:
            raise ValueError(plainer) from None
        raise
    _no_nul(tables)
    return {name: value for name, value in tables.items() if value != ""}


def _no_nul(value: Any) -> None:
    """Refuse the one sign that is no text to an engine: on a server no text can hold it."""
    if isinstance(value, str) and "\0" in value:
        raise ValueError(f"\\u0000 is no text; leave it out of '{value.replace(chr(0), '')[:40]}'")
    for one in (
        value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    ):
        _no_nul(one)


def _stands_twice(text: str) -> str:
    """What stands twice. The other line is counted from here: an editor may show more lines above."""
    found = twice(text)
    if found is None:
        return ""
    path, first, second = found
    apart = second - first
    where = f"here and {apart} line{'s' if apart != 1 else ''} above (at line {second}, column 1)"
    lines = lines_of(text)
    if not lines[second - 1].lstrip().startswith("["):
        under = f" under [{'.'.join(map(str, path[:-1]))}]" if path[1:] else ""
        return f"'{path[-1]}' stands twice{under}, {where}"
    header = ".".join(map(str, path))
    several = path[-1] in {*(kind.value for kind in MANY), "found", "sample", "bore"}
    more = f"each of several begins with [[{header}]]; " if several else ""
    return f"[{header}] stands twice; {more}{where}"


# -- a sheet on record --------------------------------------------------------------------------


def sheet_text(document: Mapping[str, Any]) -> str:
    """A sheet's plain tables as TOML that people can read; a TOML reader gives the same back.

    >>> print(sheet_text({"reason": "other", "set": {"pump": {"hp": 0.5}}}), end="")
    reason = "other"
    <BLANKLINE>
    [set.pump]
    hp = 0.5
    """
    return "\n".join(_table((), document)).lstrip("\n") + "\n"


def recorded_text(number: int, document: Mapping[str, Any]) -> str:
    """A sheet on record, to be corrected in an editor.

    >>> print(recorded_text(7, {"reason": "other"}).splitlines()[-1])
    reason = "other"
    """
    return _CORRECTION.format(number=number) + sheet_text(document)


def _table(path: tuple[str, ...], table: Mapping[str, Any]) -> Iterator[str]:
    """The lines of a table: its own values first, for what follows a header belongs to that."""
    below = {name: value for name, value in table.items() if _stands_below(path, value)}
    for name, value in table.items():
        if name not in below and value is not None:
            yield f"{_key(name)} = {_value(value, multiline=True)}"
    for name, value in below.items():
        inner = (*path, name)
        header = ".".join(_key(step) for step in inner)
        for one in [value] if isinstance(value, Mapping) else value:
            if isinstance(value, list):
                yield from ("", f"[[{header}]]")
            elif not one or not all(_stands_below(inner, v) for v in one.values()):
                yield from ("", f"[{header}]")
            yield from _table(inner, one)


def _stands_below(path: tuple[str, ...], value: object) -> bool:
    """Whether a value gets a header of its own. A reading stays on its line: it is short."""
    if path[:1] == ("measured",):
        return False
    if isinstance(value, list):
        return bool(value) and all(isinstance(one, Mapping) for one in value)
    return isinstance(value, Mapping)


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _string(name)


def _value(value: object, *, multiline: bool = False) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)  # TOML writes nan and inf as Python does
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        inner = [f"{_key(k)} = {_value(v)}" for k, v in value.items() if v is not None]
        return f"{{ {', '.join(inner)} }}" if inner else "{}"
    if isinstance(value, list):
        return f"[{', '.join(_value(one) for one in value)}]"
    return _string(str(value), multiline=multiline)


# Besides what TOML forbids as it stands, all that an editor or `splitlines` takes for a line's end.
_ESCAPED = re.compile('["\\\\\x00-\x1f\x7f-\x9f\u2028\u2029]')
_SHORT = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def _string(text: str, *, multiline: bool = False) -> str:
    """A string in quotes; notes of several lines keep their lines.

    >>> print(_string('3" pipe'), _string("a\\nb"))
    "3\\" pipe" "a\\nb"
    """
    if multiline and "\n" in text:
        lines = (_ESCAPED.sub(_escape, line) for line in text.split("\n"))
        return '"""\n' + "\n".join(lines) + '"""'
    return f'"{_ESCAPED.sub(_escape, text)}"'


def _escape(match: re.Match[str]) -> str:
    return _SHORT.get(match[0]) or f"\\u{ord(match[0]):04x}"


# -- a new sheet --------------------------------------------------------------------------------

# Explanations begin with two signs, so that they stay comments when one is taken away from a
# whole block at once.
_HEAD = """\
## Visit to {tag}.
## Fill in, save and close to go on; empty the file to give up.
## A line counts once the # before it is gone. Lines with ## only explain.

well = {well}
date = {day}
## A job that is not finished yet: write start in place of date.

## {reasons}
reason = ""
crew = []

# notes = ""
# left_for_next_time = ""
# left_without_pump = true
# disinfected = true

[measured]
## A unit may be given: "97.5 m". Say which point a level is from:
##   static_level_ft = {{ value = 141, point = "casing top" }}
# static_level_ft =
# pumping_level_ft =
# flow_gpm =
# supply_v =
# running_a =
# insulation_megohm =        ## "over 500" where the needle stands past the last mark
# precharge_psi =
# cut_in_psi =
# cut_out_psi =

## {found}
# [[found]]
# what = "splice"
# part = "cable"
# count = 1
# note = ""

## A water sample, and later its results: any substance by its name and unit,
## also as "< 0.5" or "not detected".
# [[sample]]
# taken_on = {day}
# laboratory = ""
# bacteria = "absent"
# nitrate_mg_l = "< 0.5"
# iron_mg_l =
"""

_CORRECTION = """\
## Visit {number}, as it is on record.
## Mend it, save and close to go on; empty the file to give up.
## What hung in the well is worked out anew from it and all later sheets.

"""

_BLOCKS = """\
## {has}
## Take the # away before a block that you touched, and say in its first line
## what was done:
##   back    it went down again; splices_added = 1 may stand in it
##   pulled  it came out for good; why = "..." may stand in it, and cause =
##           {causes}
##   set     it is new; put down what it is. What hung there is then out.
##   down    it was seen there, and is what these lines say
## Strike the lines that you cannot say.
"""

_FRACTURED = """\
## A zone that was fractured: packers from and to.
# [[bore]]
# kind = "fractured"
# from_ft =
# to_ft =
# pressure_psi =
# volume_gal =
"""

_NEW_PUMP = """\
## A new pump
# [[set.pump]]
# hp =
# rated_gpm =
# model_year = ""
# set_depth_ft =
"""


def prefilled_text(hole: Hole, today: date) -> str:
    """A sheet to fill in: the day, the usual readings, and what is down the hole now.

    As it stands it lacks nothing but the reason of the visit, and changes nothing.
    """
    # What is in store since a place was closed down goes down again: it is what an opening is for.
    there = [c for kind in Kind for c in (*hole.down(kind), *hole.stored(kind))]
    head = _HEAD.format(
        tag=_prose(hole.tag),
        well=_string(hole.tag),
        day=today.isoformat(),
        reasons=_wrapped("reason: ", [r.label for r in Reason]),
        found=_wrapped("What was found: ", [f.label for f in FoundKind]),
    )
    blocks = _BLOCKS.format(
        has="What hangs there now, from the top down." if there else "Nothing is on record there.",
        causes=_wrapped("", [c.label for c in Cause]),
    )
    parts = [head, _FRACTURED, blocks, *(_block(component, there) for component in there)]
    if not any(c.kind is Kind.PUMP for c in there):
        parts.append(_NEW_PUMP)
    return "\n".join(parts)


def _wrapped(start: str, words: list[str]) -> str:
    """Words in lines that fit a screen, the second and later ones as comments too."""
    lines = [start]
    for n, word in enumerate(words):
        more = word + (", " if n + 1 < len(words) else "")
        if len(lines[-1]) + len(more) > 76:
            lines.append("  ")
        lines[-1] += more
    return "\n## ".join(line.rstrip() for line in lines)


def _block(component: Component, there: list[Component]) -> str:
    """One part as a block under comment signs, with a word for what is likeliest done with it."""
    kind = component.kind
    done = "back" if kind in IN_THE_HOLE else "down"
    since = f", set {component.set_on}" if component.set_on.known else ""
    since += f", in store since {component.pulled_on}" if component.pulled_on else ""
    lines = [f"## {kind.label}{_prose(since)}", f"# [[{done}.{kind.value}]]"]
    known = _known(component.part)
    run = [c for c in there if c.kind is kind and kind in SECTIONED]
    if len(run) > 1 and component is run[0] and "to_ft" in known:
        # Where it begins names a section: without, a block that is left alone would be of the run.
        known = {"from_ft": 0.0, **known}
    lines += [f"# {name} = {_value(_plain(value))}" for name, value in known.items()]
    basis = _weakest(component, known)
    if basis is not Basis.MEASURED:
        # Without this line, what was only told would turn into something measured at this visit.
        lines.append(f'# basis = "{basis.label}"  ## strike this if you saw it all')
    return "\n".join(lines) + "\n"


def _known(part: Part) -> dict[str, Any]:
    values = {field.name: getattr(part, field.name) for field in fields(part)}
    return {name: value for name, value in values.items() if value is not None}


def _weakest(component: Component, known: Mapping[str, Any]) -> Basis:
    facts = [component.fact(name) for name in known]
    bases = [fact.basis for fact in facts if fact is not None]
    return max(bases, key=lambda basis: basis.rank, default=component.basis)


def _plain(value: object) -> object:
    """A part's value as it is written in a sheet."""
    if isinstance(value, When):
        return value.text or value.edtf() or "unknown"
    if isinstance(value, StrEnum):
        return value.value.replace("_", " ")
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value


def _prose(text: str) -> str:
    """Text that cannot end its comment."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split(" "))
