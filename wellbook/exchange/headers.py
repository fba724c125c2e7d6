"""How well records head their columns: what each target is called, and its unit."""

from __future__ import annotations

import re
from collections.abc import Iterable

from wellbook.exchange.mapping import STRETCHES
from wellbook.terms import MeasuringPoint

# The headers by which each target is known, best first; `_` stands for anything that parts words.
_NUMBER = "(?:no|nr|num|number|id|key|tag|tag_number)"
KNOWN: dict[str, tuple[str, ...]] = {
    "key": (
        f"(?:state_)?well_{_NUMBER}",
        f"(?:site|station|record|source|borehole|bore|registration|report)_{_NUMBER}",
        "id|tag|key|well|number",
    ),
    "permit_no": (f"(?:well_)?permit(?:_{_NUMBER})?", "identification_plate_number"),
    "name": ("(?:well_|site_|station_|borehole_)?name", "station_nm", "well_owner_name"),
    "latitude": (r"(?:dec_)?lat(?:itude)?(?:_\w+)?", "y"),
    "longitude": (r"(?:dec_)?(?:lon|long|lng|longitude)(?:_\w+)?", "x"),
    "road": ("(?:street_)?address", "road|street|street_name"),
    "town": ("city|town|village|municipality|township|community|locality", "county"),
    "region": ("region|state|province|administrative_region|sub_county|district", "parish|county"),
    "drilled_on": (
        "construction_end_date|completion_date|date_(?:of_)?completion|(?:date_)?completed",
        "(?:date|year)_(?:drilled|constructed)|(?:drilled|drilling)(?:_(?:on|date|year))?",
        "construction_(?:date|year|start_date)|year|date",
    ),
    "measured_on": (
        "(?:level_)?(?:date_)?measured(?:_on)?|measurement_date|level_date",
        "date_of_test|test_date|(?:last_)?(?:repair|inspection|check|service|visit)_date",
        "(?:date_)?(?:last_)?(?:checked|inspected|serviced|visited)(?:_on)?",
    ),
    "sealed_on": (
        "(?:decommission|sealed|abandoned)(?:_end)?_(?:date|on)|date_(?:sealed|plugged)",
    ),
    "driller": ("driller(?:_name)?|drilled_by|drilling_(?:company|contractor)",),
    "construction": ("construction(?:_(?:method|type))?|drilling_method|well_type",),
    "use": ("intended_water_use(?:_code)?|(?:well_|water_|proposed_)?use",),
    "depth_ft": (
        "finished_(?:well_)?depth",
        "(?:well_|borehole_|bore_)?depth(?:_va)?",
        "total_(?:well_|hole_)?depth(?:_drilled)?|hole_depth(?:_va)?",
    ),
    "water_level_ft": (
        "static_(?:water_)?(?:level|depth)|swl",
        "(?:depth_to_)?water(?:_level|_depth)?|static",
    ),
    "level_point": ("(?:water_level_)?(?:reference|measuring)_point",),
    "yield_gpm": ("(?:well_|reported_)?yield|(?:well_)?yield_rate", "yield_estimation_rate"),
    "stick_up_ft": (
        "(?:final_)?(?:casing_)?stick_?up(?:_height)?",
        "reference_level|measuring_point_height|casing_height",
    ),
    "flowing": ("artesian(?:_conditions)?|flowing",),
    "notes": ("comments?|remarks?|notes?",),
    **{
        f"{kind}_{what}": (f"{kind}_{names}",)
        for kind in STRETCHES
        for what, names in {
            "from_ft": "(?:from|top)(?:_depth)?",
            "to_ft": "(?:to|bottom)(?:_depth)?",
            "diameter_in": "(?:diameter|dia|diam|size)",
            "material": "material(?:_code)?",
        }.items()
    },
    "casing_code": ("casing_code|casing_type",),
    "pump.set_depth_ft": (
        "pump_(?:set|setting|installation|intake)(?:_depth)?|set_depth|pump_depth|intake_depth",
    ),
    "pump.set_on": (
        "pump_(?:set|installed|installation)_(?:on|date|year)",
        "date_(?:of_)?pump_(?:set|installed|installation)",
    ),
    "pump.type": ("pump_(?:type|kind)|(?:type|kind)_of_pump",),
    "pump.maker": ("pump_(?:maker?|brand|manufacturer)",),
    "pump.model": (f"pump_model(?:_{_NUMBER})?",),
    "pump.model_year": ("pump_model_year",),
    "pump.serial": (f"pump_serial(?:_{_NUMBER})?",),
    "pump.hp": ("(?:(?:pump|motor)_)?(?:(?:size|power)_)?(?:hp|horse_?power|kw)",),
    "pump.rated_gpm": ("pump_(?:rated_|rating_)?(?:flow|capacity|rate|output|gpm)",),
    "pipe.material": (
        "(?:drop_|riser_)?pipe_(?:material|type)|(?:drop|riser)_pipe|riser_material|rising_main",
    ),
    "pipe.nominal_in": ("(?:drop_|riser_)?pipe_(?:diameter|dia|size)|riser_(?:diameter|size)",),
    "pipe.rating_psi": ("(?:drop_)?pipe_(?:pressure_)?rating|pipe_psi",),
    "pipe.to_ft": ("(?:drop_|riser_)?pipe_(?:length|depth|to)|riser_length",),
    "cable.awg": ("(?:pump_)?(?:cable|wire)_(?:awg|gauge|size)",),
    "tank.volume_gal": ("(?:pressure_)?tank_(?:volume|size|capacity|gal)",),
    "switch.cut_in_psi": ("(?:pressure_)?(?:switch_)?cut_?in",),
    "switch.cut_out_psi": ("(?:pressure_)?(?:switch_)?cut_?out",),
}
KNOWN["casing_diameter_in"] += ("diameter|well_diameter|bore_diameter",)

# How a unit is written at the end of a header; a measuring point may be glued to it.
_POINTS = {
    "bgl": MeasuringPoint.GROUND,
    "bgs": MeasuringPoint.GROUND,
    "bls": MeasuringPoint.GROUND,
    "btoc": MeasuringPoint.CASING_TOP,
    "toc": MeasuringPoint.CASING_TOP,
}
_UNITS = (
    (r"m\^?3[_/](?:p(?:er)?_)?(?:hr?|hour)", "m3/h"),
    (r"m\^?3[_/](?:p(?:er)?_)?d(?:ay)?", "m3/d"),
    (r"(?:in_)?(?:us_?)?(?:gpm|gal(?:lons)?_(?:per_)?min(?:ute)?)", "gpm"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)[_/]?(?:per|p)?_?s(?:ec(?:ond)?)?", "l/s"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)[_/]?(?:per|p)?_?m(?:in(?:ute)?)?", "l/min"),
    (r"(?:in_)?(?:feet|foot|ft)", "ft"),
    (r"(?:in_)?(?:inches|inch|in)", "in"),
    (r"(?:in_)?(?:millimet(?:er|re)s?|mm)", "mm"),
    (r"(?:in_)?(?:centimet(?:er|re)s?|cm)", "cm"),
    (r"(?:in_)?(?:met(?:er|re)s?|m)", "m"),
    (r"hp|horse_?power", "hp"),
    (r"(?:in_)?kw", "kw"),
    (r"(?:in_)?psi", "psi"),
    (r"(?:in_)?bar", "bar"),
    (r"(?:in_)?(?:us_?)?gal(?:lons?)?", "gal"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)", "l"),
)


def plain_header(header: str) -> str:
    """A header in small letters, with `_` for whatever parts its words.

    >>> plain_header(" Static Water Level (ft-btoc)")
    'static_water_level_ft_btoc'
    """
    return re.sub(r"[^a-z0-9^/]+", "_", header.lower().replace("³", "3")).strip("_")


def split_unit(header: str) -> tuple[str, str, MeasuringPoint | None]:
    """A header without its unit and measuring point, the unit, and the point.

    >>> split_unit("static_water_level_ft-btoc")
    ('static_water_level', 'ft', <MeasuringPoint.CASING_TOP: 'casing_top'>)
    >>> split_unit("well_yield_(m^3/hr)"), split_unit("SWL mbgl")[:2]
    (('well_yield', 'm3/h', None), ('swl', 'm'))
    """
    plain = plain_header(header)
    point = None
    found = re.fullmatch(rf"(.*?)_?({'|'.join(_POINTS)})", plain)
    if found:
        plain, point = found[1], _POINTS[found[2]]
    for pattern, unit in _UNITS:
        match = re.fullmatch(rf"(?:(.+)_)?(?:{pattern})", plain)
        if match:
            return match[1] or plain, unit, point
    return plain, "", point


def names_of(header: str) -> tuple[str, str]:
    """The names that a header may go by: without its unit, and whole ("hp", "cut in").

    >>> names_of("Pump HP")
    ('pump', 'pump_hp')
    """
    return split_unit(header)[0], plain_header(header)


def matched(headers: Iterable[str]) -> int:
    """How many headers are known: by this a header line is told from banners and from data."""
    patterns = [re.compile(p) for some in KNOWN.values() for p in some]
    names = [names_of(h) for h in headers if h.strip()]
    return sum(any(p.fullmatch(n) for p in patterns for n in two) for two in names)
