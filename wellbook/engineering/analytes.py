"""What a laboratory looks for in a well's water, and how a result stands in the book.

An analyte's word is its name with the unit of the book at its end. Nitrate and nitrite are as
nitrogen, hardness and alkalinity as calcium carbonate.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from wellbook.quantities import UNITS, digits, split_suffix


@dataclass(frozen=True, slots=True)
class Result:
    """What a laboratory said of one analyte.

    Parameters
    ----------
    value
        In the analyte's unit. Where it is `below`, the laboratory's reporting limit; None where the
        report has none.
    below
        Whether nothing was found down to that.
    """

    value: float | None
    below: bool = False


@dataclass(frozen=True, slots=True)
class Analyte:
    """One thing that is looked for: its word, how people call it, and other names of it."""

    word: str
    label: str
    names: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """Its unit as it is printed; "" where it has none.

        >>> ANALYTES["iron_mg_l"].unit, ANALYTES["ph"].unit, ANALYTES["odor_ton"].unit
        ('mg/L', '', 'TON')
        """
        ending = split_suffix(self.word)[1]
        return UNITS[ending].symbol.strip() if ending else _OWN_UNITS.get(self.word, "")

    def shown(self, value: float) -> str:
        """A value with its unit, in all the digits that a laboratory gives.

        >>> ANALYTES["arsenic_mg_l"].shown(0.0004)
        '0.0004 mg/L'
        """
        return f"{digits(float(f'{value:.6g}'))} {self.unit}".rstrip()

    def said(self, result: Result) -> str:
        """A result in words.

        >>> nitrate = ANALYTES["nitrate_mg_l"]
        >>> nitrate.said(Result(4.1)), nitrate.said(Result(0.5, True)), nitrate.said(Result(None, True))
        ('4.1 mg/L', '< 0.5 mg/L', 'not detected')
        """
        if result.value is None:
            return "not detected"
        return f"{'< ' if result.below else ''}{self.shown(result.value)}"


_OWN_UNITS: Final = {"color_units": "color units", "odor_ton": "TON"}

NITRATE, NITRITE, BOTH = "nitrate_mg_l", "nitrite_mg_l", "nitrate_nitrite_mg_l"
HARDNESS, METHANE, LEAD = "hardness_mg_l", "methane_mg_l", "lead_mg_l"

# In the order in which a page shows them: what harms, then what is tasted, stains or wears.
_LISTED = (
    Analyte(NITRATE, "nitrate", ("no3-n", "nitrate-n", "nitrate as n", "nitrate nitrogen")),
    Analyte(NITRITE, "nitrite", ("no2-n", "nitrite-n", "nitrite as n", "nitrite nitrogen")),
    Analyte(BOTH, "nitrate and nitrite", ("nitrate+nitrite", "no3+no2-n", "nitrate nitrite")),
    Analyte("arsenic_mg_l", "arsenic", ("as",)),
    Analyte(LEAD, "lead", ("pb",)),
    Analyte("copper_mg_l", "copper", ("cu",)),
    Analyte("uranium_ug_l", "uranium", ("u",)),
    Analyte("radium_pci_l", "radium", ("ra", "radium 226+228", "radium-226/228")),
    Analyte("gross_alpha_pci_l", "gross alpha", ("alpha",)),
    Analyte("fluoride_mg_l", "fluoride", ("f",)),
    Analyte("pfoa_ng_l", "PFOA"),
    Analyte("pfos_ng_l", "PFOS"),
    Analyte("methane_mg_l", "methane", ("ch4",)),
    Analyte("iron_mg_l", "iron", ("fe",)),
    Analyte("manganese_mg_l", "manganese", ("mn",)),
    Analyte("hardness_mg_l", "hardness", ("total hardness", "hardness as caco3")),
    Analyte("ph", "pH"),
    Analyte("chloride_mg_l", "chloride", ("cl",)),
    Analyte("sulfate_mg_l", "sulfate", ("so4", "sulphate")),
    Analyte("tds_mg_l", "TDS", ("dissolved solids", "total dissolved solids")),
    Analyte("sodium_mg_l", "sodium", ("na",)),
    Analyte("hydrogen_sulfide_mg_l", "hydrogen sulfide", ("h2s", "sulfide", "hydrogen sulphide")),
    Analyte("alkalinity_mg_l", "alkalinity", ("total alkalinity",)),
    Analyte("zinc_mg_l", "zinc", ("zn",)),
    Analyte("silver_mg_l", "silver", ("ag",)),
    Analyte("aluminum_mg_l", "aluminum", ("al", "aluminium")),
    Analyte("foaming_agents_mg_l", "foaming agents", ("foam", "surfactants", "mbas")),
    Analyte("color_units", "color", ("colour", "true color")),
    Analyte("odor_ton", "odor", ("odour", "threshold odor")),
)

ANALYTES: Final[dict[str, Analyte]] = {a.word: a for a in _LISTED}
"""Word -> analyte, in the order in which they are shown."""


def plain_name(text: str) -> str:
    """A name without case, blanks, hyphens and the like, as names are compared.

    >>> plain_name("NO3-N"), plain_name("E. coli")
    ('no3n', 'ecoli')
    """
    return "".join(sign for sign in text.lower() if sign.isalnum() or sign == "+")


BY_NAME: Final[dict[str, Analyte]] = {
    plain_name(name): a for a in _LISTED for name in (a.word, a.label, *a.names)
}
"""Every name of an analyte, as `plain_name` has it -> the analyte."""


def the_analyte(name: str) -> Analyte:
    """The analyte of a name, in any case, with or without hyphens, or by its symbol.

    Raises
    ------
    ValueError
        With what is near, where none is called so.

    >>> the_analyte("Fe").label, the_analyte("NO3-N").label
    ('iron', 'nitrate')
    >>> the_analyte("nitrat")
    Traceback (most recent call last):
    ValueError: 'nitrat' is not looked for in a water; near it: nitrate, nitrite
    """
    plain = plain_name(name)
    if plain in ("no3", "no2"):
        word = "nitrate" if plain == "no3" else "nitrite"
        raise ValueError(
            f"'{name}' is told in two ways; write {word}=4.1 for so much as N,"
            f" or {word}='18 mg/L as {name.upper()}'"
        )
    found = BY_NAME.get(plain)
    if found is not None:
        return found
    near = [BY_NAME[n].label for n in get_close_matches(plain, BY_NAME, n=4)]
    listed = ", ".join(dict.fromkeys(near)) or ", ".join(a.label for a in _LISTED)
    kind = "near it" if near else "there are: bacteria"
    raise ValueError(
        f"'{name}' is not looked for in a water; {kind}{':' if near else ','} {listed}"
    )
