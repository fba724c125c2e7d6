"""Invented wells with realistic histories, the same from the same seed: for books to measure with.

A well has an opening record from a driller's log and some six visits; about 8 parts ever hung in it, and
some ten readings were taken. Names are of made-up syllables, some of them common and most rare, as
names are.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate
from typing import Any

from wellbook.terms import SheetKind

SEED = 20261129
TODAY = date(2026, 11, 29)
CREW = ("Ansel", "Marit", "Tobin", "Lu")

Told = tuple[SheetKind, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class _Bore:
    """What a well is, and what was hung in it."""

    drilled: date
    depth_ft: int
    level_ft: int
    set_depth_ft: int
    hp: float


def history(chance: random.Random) -> list[Told]:
    """The sheets of one well, oldest first."""
    depth = chance.randrange(120, 480, 5)
    bore = _Bore(
        drilled=date(chance.randrange(1975, 2016), chance.randrange(1, 13), 1),
        depth_ft=depth,
        level_ft=chance.randrange(20, depth // 2),
        set_depth_ft=depth - chance.randrange(20, 60, 5),
        hp=chance.choice((0.5, 0.75, 1, 1.5)),
    )
    day = max(bore.drilled, date(2001, 1, 1)) + timedelta(days=chance.randrange(30, 3000))
    level_ft = bore.level_ft
    sheets: list[Told] = [(SheetKind.OPENING, _opening(chance, bore, day))]
    for _ in range(chance.randrange(4, 9)):
        day += timedelta(days=chance.randrange(200, 1500))
        if day >= TODAY:
            break
        level_ft += chance.randrange(-1, 4)
        sheets.append((SheetKind.VISIT, _visit(chance, bore, day, level_ft)))
    return sheets


def _opening(chance: random.Random, bore: _Bore, day: date) -> dict[str, Any]:
    log = {"basis": "drillers_log", "when": bore.drilled.isoformat()[:7]}
    year = {"set_on": str(bore.drilled.year)}
    casing = chance.randrange(20, 90)
    return {
        "date": day.isoformat(),
        "notes": "Driller's log, copied at the kitchen table.",
        "measured": {
            "depth_ft": {"value": bore.depth_ft, **log},
            "yield_gpm": {"value": chance.randrange(2, 25), **log},
            "static_level_ft": {"value": bore.level_ft, "point": "ground", **log},
        },
        "down": {
            "seal": {"type": "pitless_adapter", "material": "brass", "depth_ft": 5, **year},
            "pipe": [
                {
                    "material": "pe3408",
                    "nominal_in": "1",
                    "rating_psi": chance.choice((160, 200)),
                    "from_ft": 0,
                    "to_ft": bore.set_depth_ft,
                    **year,
                }
            ],
            "cable": [
                {
                    "awg": chance.choice((12, 14)),
                    "conductors": 3,
                    "ground_wire": True,
                    "from_ft": 0,
                    "to_ft": bore.set_depth_ft,
                    **year,
                }
            ],
            "pump": {
                "type": "submersible",
                "hp": bore.hp,
                "rated_gpm": chance.choice((5, 7, 10)),
                "set_depth_ft": bore.set_depth_ft,
                **year,
            },
            "control": {"type": "control_box", "hp": bore.hp, **year},
            "tank": {
                "type": "pressure",
                "volume_gal": chance.choice((20, 32, 44, 62)),
                "precharge_psi": 28,
                **year,
            },
            "switch": {"cut_in_psi": 30, "cut_out_psi": 50, **year},
        },
        "bore": [
            {
                "kind": "casing",
                "from_ft": 0,
                "to_ft": casing,
                "diameter_in": 6,
                "material": "steel",
                "basis": "drillers_log",
            },
            {
                "kind": "open_hole",
                "from_ft": casing,
                "to_ft": bore.depth_ft,
                "diameter_in": 6,
                "basis": "drillers_log",
            },
        ],
    }


def _visit(chance: random.Random, bore: _Bore, day: date, level_ft: int) -> dict[str, Any]:
    sheet: dict[str, Any] = {
        "date": day.isoformat(),
        "crew": chance.sample(CREW, chance.randrange(1, 3)),
        "measured": {"static_level_ft": {"value": level_ft, "point": "casing_top"}},
    }
    what = chance.random()
    if what < 0.25:
        sheet |= {
            "reason": "no_water",
            "disinfected": True,
            "notes": "Pump to ground. String up, pump changed, pipe and cable down again.",
            "found": [
                {"what": "splice", "count": chance.randrange(3)},
                {"what": "rub", "count": chance.randrange(4)},
            ],
            "pulled": {
                "pump": {
                    "why": "motor to ground",
                    "cause": chance.choice(("age", "sand", "lightning")),
                }
            },
            "back": {"pipe": {}, "cable": {}},
            "set": {
                "pump": {
                    "type": "submersible",
                    "hp": bore.hp,
                    "rated_gpm": 7,
                    "model_year": str(day.year - 1),
                    "set_depth_ft": bore.set_depth_ft,
                }
            },
        }
    elif what < 0.5:
        sheet |= {
            "reason": "water_sample",
            "sample": [
                {
                    "bacteria": "absent" if chance.random() < 0.9 else "coliform_present",
                    "nitrate_mg_l": round(chance.uniform(0.2, 9), 1),
                }
            ],
        }
        del sheet["measured"]
    else:
        sheet |= {"reason": "check_up", "notes": "All well."}
        sheet["measured"] |= {
            "flow_gpm": round(chance.uniform(3, 9), 1),
            "running_a": round(bore.hp * chance.uniform(7, 9), 1),
        }
        if chance.random() < 0.4:
            sheet["measured"]["insulation_megohm"] = round(chance.uniform(1, 200), 1)
    return sheet


# -- who lives where ---------------------------------------------------------------------------

_ONSETS = "b br c cl d dr f fl g gr h j k l m n p pr r s sh st t th tr v w y".split()
_VOWELS = "a e i o u ai ea ie oa oo".split()
_CODAS = " b ck d g l ld ll m n nd ng p r rd rn s st t th x".split(" ")
_ENDS = ("", "", "", "er", "ey", "field", "ford", "ham", "ley", "man", "son", "ton", "well", "wick")
_GIVEN = 600
_ROADS = ("Road", "Lane", "Street", "Hill", "Drive", "Bend", "Way", "Hollow", "Ridge", "Court")


def _words(chance: random.Random, many: int) -> list[str]:
    """Different made-up words."""
    found: dict[str, None] = {}
    while len(found) < many:
        middle = [
            chance.choice(_ONSETS) + chance.choice(_VOWELS) + chance.choice(_CODAS)
            for _ in range(chance.randrange(1, 3))
        ]
        found["".join(middle) + chance.choice(_ENDS)] = None
    return [word.capitalize() for word in found if word]


class _Uneven:
    """Words of which the n-th is as frequent as 1/(n + 10): a few are common, most are rare."""

    def __init__(self, words: list[str]) -> None:
        self._words = words
        self._weights = list(accumulate(1 / (n + 10) for n in range(len(words))))

    def some(self, chance: random.Random, many: int) -> list[str]:
        return chance.choices(self._words, cum_weights=self._weights, k=many)


@dataclass(frozen=True, slots=True)
class Household:
    """Who lives where, and how to ring there."""

    name: str
    road: str
    town: str
    latitude: float
    longitude: float
    phone: str


def households(many: int) -> Iterator[Household]:
    """So many households: the first of them are the same however many are asked for."""
    chance = random.Random(SEED)
    family = _Uneven(_words(chance, 60_000))
    given = _Uneven(_words(chance, _GIVEN))
    road = _Uneven(_words(chance, 12_000))
    towns = _words(chance, 1_000)
    for start in range(0, many, 1000):
        size = 1000
        lines = zip(
            family.some(chance, size),
            given.some(chance, size),
            road.some(chance, size),
            strict=True,
        )
        for n, (surname, first, way) in enumerate(lines, start=start):
            # A town has some thousand wells, which lie around it.
            town = (n // 1000 * 7 + n % 3) % len(towns)
            home = Household(
                name=f"{first} {surname}",
                road=f"{chance.randrange(1, 3000)} {way} {_ROADS[chance.randrange(len(_ROADS))]}",
                town=towns[town],
                latitude=round(38 + town % 40 * 0.2 + chance.random() * 0.2, 5),
                longitude=round(-110 + town // 40 * 0.3 + chance.random() * 0.3, 5),
                phone=f"{chance.randrange(2, 10)}{chance.randrange(100):02d}{chance.randrange(2, 10)}"
                f"{chance.randrange(10**6):06d}",
            )
            if n < many:
                yield home
