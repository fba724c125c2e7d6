"""What a laboratory's sheet says, read: `4.1`, `< 0.5`, `not detected`, `12 ppb`, `18 mg/L as NO3`."""

from __future__ import annotations

import re

from wellbook.engineering.analytes import ANALYTES, BOTH, HARDNESS, NITRATE, NITRITE, Result
from wellbook.hole.fields import not_negative
from wellbook.quantities import quoted, read, split_suffix
from wellbook.terms import Bacteria

# Standard atomic weights of nitrogen and oxygen (IUPAC): one gram of nitrogen is in so many grams
# of nitrate or nitrite.
_N, _O = 14.0067, 15.9994
GRAMS_OF_ONE_OF_N = {"no3": (_N + 3 * _O) / _N, "no2": (_N + 2 * _O) / _N}

_NOT_FOUND = re.compile(
    r"(?i)(?:n\.?d\.?|bdl|bql|u|none detected|(?:not|non|un)[ -]?detect(?:ed|able|s)?"
    r"|below (?:the )?(?:detection|reporting)(?: limit)?)(?![a-z])\.?"
)
_LESS = re.compile(r"(?i)(?:<=?|≤|less than|below|under)(?![a-z])\s*")
# "0.050 U mg/L": the flag with which a laboratory marks its limit as one down to which it found none.
_FLAGGED = re.compile(r"(?i)(?P<limit>(?:<\s*)?[\d.,]+)\s*U(?P<unit>\s+\S.*)?")
_MORE = re.compile(r"(?i)(?:>=?|≥|over|above|more than|greater than)(?![a-z])")
_AS = re.compile(
    r"(?i)(?:\(?\bas\s+|(?<=[\s/l])-?)"
    r"(?P<what>no3-?n|no2-?n|nitrogen|n|no3-?|no2-?|nitrate|nitrite|caco3|calcium carbonate)\)?(?=\s|$)"
)
_MEANT = {
    "no3n": "n", "no2n": "n", "nitrogen": "n", "nitrate": "no3", "nitrite": "no2",
    "calciumcarbonate": "caco3",
}  # fmt: skip
_GRAINS = re.compile(r"(?i)gpg|grains?\b")
_ALLOWED = {
    NITRATE: ("n", "no3"),
    NITRITE: ("n", "no2"),
    BOTH: ("n",),
    HARDNESS: ("caco3",),
    "alkalinity_mg_l": ("caco3",),
}
_PLAIN_UNITS = {
    "ph": r"(?i)\s*(?:s\.?u\.?|(?:standard |std\.? |ph )?units?)$",
    "color_units": r"(?i)\s*(?:(?:color |apc )?units?|p?cu)$",
    "odor_ton": r"(?i)\s*ton$",
}
"""What may stand behind a number that has no unit to convert."""


def read_result(word: str, raw: object) -> Result:
    """One result, in the unit of its analyte; a number without a unit is in that unit already.

    Raises
    ------
    ValueError
        Where it cannot be read, saying why in a line.

    >>> read_result("nitrate_mg_l", "< 0.5"), read_result("arsenic_mg_l", "12 ppb")
    (Result(value=0.5, below=True), Result(value=0.012, below=False))
    >>> round(read_result("nitrate_mg_l", "18 mg/L as NO3").value, 3), read_result("lead_mg_l", "ND")
    (4.066, Result(value=None, below=True))
    """
    if not isinstance(raw, str):
        return Result(_number(word, raw))
    text = " ".join(raw.split())
    if _MORE.match(text):
        raise ValueError(
            f"{quoted(raw)}: past the end of a scale is no result; give the laboratory's number"
        )
    none, less = _NOT_FOUND.match(text), _LESS.match(text)
    flagged = _FLAGGED.fullmatch(text)
    if flagged:
        limit = f"{flagged['limit']}{flagged['unit'] or ''}"
        return Result(_number(word, _LESS.sub("", limit, count=1)), below=True)
    if none:
        limit = text[none.end() :].strip(" ()[],;:@").removeprefix("at ")
        limit = _LESS.sub("", limit, count=1).strip(" (")
        return Result(_number(word, limit) if limit else None, below=True)
    if less:
        return Result(_number(word, text[less.end() :]), below=True)
    return Result(_number(word, text))


def _number(word: str, raw: object) -> float:
    unit, per = split_suffix(word)[1], 1.0
    if isinstance(raw, str):
        raw, per = _without_basis(word, raw)
        if word in _PLAIN_UNITS:
            raw = re.sub(_PLAIN_UNITS[word], "", raw)
    value = not_negative(read(raw, "" if word in _PLAIN_UNITS else unit), word)  # type: ignore[arg-type]
    # A conversion makes digits that no laboratory gave: 12 grains are 205.4 mg/L, not 205.417.
    told_otherwise = per != 1.0 or (isinstance(raw, str) and _GRAINS.search(raw) is not None)
    return float(f"{value / per:.4g}") if told_otherwise else value


def _without_basis(word: str, text: str) -> tuple[str, float]:
    """The text without "as N" or "as NO3", and how many grams of that hold one of what the book keeps."""
    found = _AS.search(text)
    if found is None:
        return text, 1.0
    said = found["what"].lower().replace("-", "").replace(" ", "")
    meant = _MEANT.get(said, said)
    allowed = _ALLOWED.get(word, ())
    if meant not in allowed:
        label = ANALYTES[word].label
        how = " or ".join(_BASES[a] for a in allowed)
        right = f"{label} is told {how}" if how else f"{label} is told as it is"
        raise ValueError(f"{quoted(text)}: {right}")
    rest = f"{text[: found.start()].rstrip(' -')} {text[found.end() :].strip()}".strip()
    return rest, GRAMS_OF_ONE_OF_N.get(meant, 1.0)


_BASES = {"n": "as N", "no3": "as NO3", "no2": "as NO2", "caco3": "as CaCO3"}


# -- bacteria -------------------------------------------------------------------------------------

_ABSENT = {"absent", "negative", "not detected", "none detected", "none", "nd", "a", "neg"}
_PRESENT = {"present", "positive", "detected", "tntc", "too numerous to count", "p", "pos"}
_IN_100_ML = re.compile(r"\s*(?:/|\b(?:per|in)\b)\s*100\s*ml$")
_COUNT = re.compile(
    r"(?i)(?P<sign>[<>]?=?)\s*(?P<n>\d[\d,]*(?:\.\d+)?)\s*(?P<unit>(?:mpn|cfu|colon\w*|col)\b.*)?"
)
BACTERIA_WORDS = (
    "absent, coliform present, e. coli present, or a count with its unit, such as < 1 MPN/100 mL"
)


def read_bacteria(raw: object) -> Bacteria:
    """What a sample shows of bacteria.

    Raises
    ------
    ValueError
        Where it cannot be read, saying what would be right.

    >>> str(read_bacteria("< 1 MPN/100 mL")), str(read_bacteria("TNTC"))
    ('absent', 'coliform_present')
    >>> str(read_bacteria("E. coli present"))
    'ecoli_present'
    """
    text = " ".join(str(raw).lower().replace("_", " ").replace(".", ". ").split())
    text = text.replace("e. coli", "ecoli").replace("e coli", "ecoli").replace("e-coli", "ecoli")
    ecoli = "ecoli" in text
    for name in ("total coliforms", "total coliform", "coliforms", "coliform", "ecoli", "bacteria"):
        text = text.replace(name, " ")
    found = _found(" ".join(text.replace("=", " ").replace(":", " ").split()), raw)
    if ecoli and not found:
        raise ValueError(
            f"{quoted(raw)} says nothing of other coliform; write absent where both are"
        )
    if not found:
        return Bacteria.ABSENT
    return Bacteria.ECOLI_PRESENT if ecoli else Bacteria.COLIFORM_PRESENT


def bacteria_told(coliform: str, ecoli: str) -> str:
    """What a sheet has of bacteria, where a laboratory tells of total coliform and E. coli apart.

    Parameters
    ----------
    coliform, ecoli
        What it says of each; "" where it says nothing.

    >>> bacteria_told("present", "absent"), bacteria_told("", "present")
    ('present', 'E. coli present')
    """
    if not ecoli or (coliform and not _found(" ".join(ecoli.lower().split()), ecoli)):
        return coliform
    return f"E. coli {ecoli}"


def _found(text: str, raw: object) -> bool:
    """Whether anything was found."""
    word = _IN_100_ML.sub("", text)
    if word in _ABSENT | _PRESENT:
        return word in _PRESENT
    count = _COUNT.fullmatch(text.replace(". ", "."))
    if count is None or count["unit"] is None:
        raise ValueError(f"{quoted(raw)} is no result for bacteria; write {BACTERIA_WORDS}")
    number, sign = float(count["n"].replace(",", "")), count["sign"]
    if "<" not in sign:
        return number > 0 or ">" in sign
    if number > 1:
        raise ValueError(f"{quoted(raw)}: below {number:g} does not say that there are none")
    return False
