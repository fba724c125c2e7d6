"""Addresses that stand in one cell, parted into road, town, state and postal code."""

from __future__ import annotations

import re

STATES = frozenset(
    """AL AK AZ AR CA CO CT DC DE FL GA HI ID IL IN IA KS KY LA ME MD MA MI MN MS MO MT NE NV NH NJ NM NY
    NC ND OH OK OR PA RI SC SD TN TX UT VT VA WA WV WI WY AB BC MB NB NL NS NT NU ON PE QC SK YT""".split()
)
"""States and provinces by their two letters (ISO 3166-2:US and ISO 3166-2:CA)."""
_END = re.compile(
    # CT behind a name alone is a court.
    r"(?P<rest>.*\S)(?:,\s*|\s+(?!CT$))(?P<region>[A-Z]{2}|(?<=, )[A-Z][a-z](?=\.))\.?"
    r"(?:[,\s]\s*(?P<postcode>\d{5}(?:-\d{4})?|[A-Za-z]\d[A-Za-z] ?\d[A-Za-z]\d))?"
    r"(?:[,\s]\s*(?:USA|U\.S\.A\.|US|United States|Canada))?"
)


def parted(said: dict[str, str]) -> dict[str, str]:
    """The place of a record, where one cell has more of it than its own; else as it is said.

    Of a road and a town in one cell the comma tells, and only with the state behind them: "12 Mill Rd, Apt
    4" has no town.

    Parameters
    ----------
    said
        Road, town, region and postcode, as far as each is said.

    >>> parted({"road": "12 Mill Rd, Sutton, VT 05867"})
    {'road': '12 Mill Rd', 'town': 'Sutton', 'region': 'VT', 'postcode': '05867'}
    >>> parted({"road": "12 Mill Rd", "town": "Sutton VT"}), parted({"road": "12 Mill Rd, Apt 4"})
    ({'road': '12 Mill Rd', 'town': 'Sutton', 'region': 'VT'}, {'road': '12 Mill Rd, Apt 4'})
    >>> parted({"road": "LOT 4, QUARRY CT"}), parted({"town": "Sutton, Vt. 05867, USA"})
    ({'road': 'LOT 4, QUARRY CT'}, {'town': 'Sutton', 'region': 'VT', 'postcode': '05867'})
    """
    where = "town" if said.get("town") else "road"
    end = _END.fullmatch(said.get(where, ""))
    if end is None or end["region"].upper() not in STATES or "region" in said:
        return said
    rest = end["rest"].rstrip(", ")
    found = {**said, "region": end["region"].upper()}
    if end["postcode"]:
        found.setdefault("postcode", end["postcode"])
    if where == "town":
        return found | {"town": rest}
    road, comma, town = rest.rpartition(",")
    if not comma or re.search(r"\d", town):
        return said
    parts = found | {"road": road.strip(), "town": town.strip()}
    return {name: parts[name] for name in ("road", "town", "region", "postcode") if name in parts}
