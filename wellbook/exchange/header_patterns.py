"""How well records, service lists and contacts head their columns: the patterns, target by target."""

from __future__ import annotations

import re

from wellbook.exchange.mapping import STRETCHES

# The headers by which each target is known, best first; `_` stands for anything that parts words,
# or for nothing. Short and foreign words are said in full before (`header_words`).
_NUMBER = "(?:no|nr|num|number|id|key|tag|tag_number)"
_DEGREES = (
    "(?:_?(?:va|dd|ddeg|dec|decdeg|deg|degrees|decimal|dms|wgs|nad|gda|etrs)(?:_?(?:84|83|27|94|2020|89))?"
    "|_?(?:84|83|27))*"
)
_USABLE = (
    "(?:est(?:imated)?|max(?:imum)?|air_?lift|bailer|pumped|sustainable|safe|initial|total|final)"
)
_VISIT = "(?:service|visit|call|job|work|repair|ticket|invoice|work_order)"
_OF_OTHER_THINGS = (
    "(?:job|order|visit|call|wo|home|house|civic|apt|bldg|suite|gate|work|other|alt|main)_"
    "|paid|valid|void|grid|solid|fluid|acid|rapid|humid"
    "|(?:po|map|lot|tel|fax|ph|inv|invoice|ssn|book|page|unit|sec|tax|apn|post|soc|phone)_?n"
)
"""Short words before "no" or "id" that make it no well's number."""
KNOWN: dict[str, tuple[str, ...]] = {
    "key": (
        f"(?:state_)?well_{_NUMBER}(?:_{_NUMBER})?|(?:number|code)_well|well_code",
        "(?:well_)?(?:site|station|record|rec|source|borehole|bore|registration|report|log|water_point"
        f"|completion_report|well_report|well_log)_(?:{_NUMBER}|code)",
        "id|tag|key|well|number|borehole|well_log|bore|station",
        f"(?:customer|account|acct|file)_{_NUMBER}|account|acct",
        # A state's own short name of its numbers; below them the ones that a map program made.
        f"(?!{_OF_OTHER_THINGS})[a-z]{{2,5}}_(?:no|num|number|id)|legacy_log_number",
        "relate_?id|(?:well_)?name_number",
        "(?:object|o|f)id",
    ),
    "permit_no": (
        f"(?:well_)?permit(?:_{_NUMBER})?|{_NUMBER}_permit",
        f"identification_plate_number|(?:state_)?(?:registration|licen[cs]e|api|wrn?)_{_NUMBER}",
    ),
    "tag": (
        f"(?:our|shop|office)_{_NUMBER}",
        f"(?:well_)?tag(?:_{_NUMBER})?",
    ),
    "name": (
        "(?:well_|site_|station_|borehole_|location_)?name",
        "station_nm|well|site|name_well|well_description",
    ),
    "latitude": (
        f"(?:dec_|decimal_|gps_|(?:well_)?location_|well_|y_|site_|(?:coordinates_)?dd_?)?lat(?:itude)?{_DEGREES}(?:_north)?|gps_lat",
        "y|y_coord",
        "(?:north_)?latitude|(?:coordinates|gps)_n(?:orth)?",
    ),
    "longitude": (
        f"(?:dec_|decimal_|gps_|(?:well_)?location_|well_|x_|site_|(?:coordinates_)?dd_?)?(?:lon|long|lng|longitude){_DEGREES}(?:_(?:east|west|w|e))?|gps_lon",
        "x|x_coord",
        "(?:west|east)_longitude|(?:coordinates|gps)_(?:e|east|w|west)",
    ),
    "road": (
        "(?:(?:service|site|property|job|well|street|physical|location|installed|situs)_)?address"
        "(?:_line)?(?:_?1)?",
        "(?:(?:service|site|property|job|well|situs|location)_)?(?:road|street)(?:_(?:name|line_1))?",
        "address_well|property_location|location|(?:job|work)_site|site_location",
        "where|locality",
    ),
    "town": (
        "(?:(?:service|site|property|well|job|location|situs)_)?"
        "(?:city|town|village|municipality|township|community|locality|town_city|city_town|city_village)(?:_name)?",
        "county(?:_name)?|civil_town(?:ship)?",
        "(?:city|town)_(?:st|state)(?:_postcode)?",
    ),
    "region": (
        "(?:(?:service|site|property|well)_)?"
        "(?:region|state|province|administrative_region|sub_county|district|state_province)",
        "parish|county|st",
    ),
    "postcode": (
        "(?:(?:service|site|property|well|job|location|situs)_)?postcode(?:_4|_plus_4|_code)?|postal",
    ),
    "access": (
        "gate(?:_code)?|gate_combo|access(?:_(?:notes?|code|instructions?))?|(?:driving_)?directions",
        "how_get_there|(?:location|site|property)_notes|lock_?box|combination|dogs?",
    ),
    "well_head": (
        "well_?head(?:_location)?|(?:well_)?location_(?:well|on_property)|well_location",
        "where(?:_is)?_well",
    ),
    "customer.name": (
        "customer(?:_name)?|(?:well_|property_|current_)?owner(?:_name)?|name_(?:customer|owner)",
        "(?:full|display|account|acct|business|company|contact|billing|bill_to|tenant)_name",
        "name|last(?:_name)?_first(?:_name)?|name_last_first|contact(?:_person)?|bill_to",
        "company|business|organi[sz]ation|tenant|occupant|resident|owner_(?:1|of_record)|who",
    ),
    "customer.first_name": (
        "(?:(?:customer|owner|contact)_)?(?:first|given)(?:_name)?|name_first",
    ),
    "customer.last_name": (
        "(?:(?:customer|owner|contact)_)?(?:last|family|sur)(?:_name)?|name_last",
    ),
    "customer.phone": (
        "(?:(?:customer|owner|contact|home|main|primary|day|daytime|house|billing|site)_)*"
        "phone(?:_(?:number|home|main|primary))?(?:_?1)?|contact_(?:phone_)?number|landline|home_number",
        "(?:(?:customer|owner|contact)_)?mobile(?:_phone)?(?:_number)?|phone_mobile",
        "(?:work|office|business|other|alt|alternate|second|secondary|spouse|evening)_"
        "(?:phone|mobile)(?:_number)?|phone_(?:work|other|alt|number_2|2|3)|mobile_2|(?:work|other|alt)_number",
    ),
    "customer.email": (
        "(?:(?:customer|owner|contact|primary|home|main)_)?email(?:_address)?(?:_?1)?",
        "(?:work|other|alt|alternate|second|secondary|spouse)_email(?:_address)?"
        "|email(?:_address)?_2",
    ),
    "customer.post": (
        "(?:mailing|postal|billing|bill|bill_to|owner|customer|email)_(?:address|street)(?:_?1)?",
        "address_(?:owner|customer|billing|mailing)|po_box",
    ),
    "customer.notes": ("(?:customer|account|billing|owner)_(?:notes|comments|remarks)",),
    "visit.on": (
        f"date_{_VISIT}|date_(?:serviced|visited|repaired)",
        f"(?:last_)?{_VISIT}_date|(?:last_)?(?:serviced|visited)(?:_on)?|last_(?:service|visit)",
        "date",
    ),
    "visit.reason": (
        f"reason(?:_for)?(?:_{_VISIT})?|complaint|(?:reported_)?problem|issue|trouble|symptoms?",
        f"{_VISIT}_(?:reason|type)|type_{_VISIT}|nature_{_VISIT}",
    ),
    "visit.crew": (
        "(?:service_|lead_)?technicians?(?:_name)?|crew|mechanic|installer",
        "(?:serviced|done|performed|repaired|installed|completed|inspected)_by|by|employee|worker|who_(?:went|came|did(?:_it)?)",
    ),
    "visit.notes": (
        "work_(?:performed|done|completed|description|notes)|description_work|repairs?(?:_made)?",
        f"{_VISIT}_(?:notes|description|performed|comments|details)|services?_(?:rendered|provided)",
        "actions?(?:_taken)?|what_(?:was_|we_)?(?:done|did)|job|findings|work|service",
    ),
    "equipment": (
        "(?:(?:pump|well|installed)_)?equipment(?:_(?:description|notes|info|installed))?",
        "pump_(?:info|information|details?|data|description|specs?|notes|system)|pump",
        "system|setup|unit",
    ),
    "drilled_on": (
        "construction_end_date|(?:well_)?completion_date|date_well_(?:completed|drilled)|date_(?:of_)?completion|(?:date_)?(?:work_)?completed"
        "|completion",
        "(?:date|year)_(?:(?:well_)?(?:drilled|constructed)|well_built)|date_built"
        "|(?:well_)?(?:drilled|drilling)(?:_(?:on|date|year))?",
        "construction_(?:date|year|start_date)|(?:year|date)_(?:completed|well)|well_(?:year|date)"
        "|date_(?:work_)?(?:ended|finished|completion)|(?:work_)?(?:ended|finished)(?:_date|_on)?",
        "year|date|(?:date|year)_installed|installed_(?:date|year)"
        "|(?:drilled|construction|work)_end(?:_date)?|date_end(?:_work)?",
    ),
    "measured_on": (
        "(?:level_)?(?:date_)?measured(?:_on)?|measurement_date|(?:water_)?level_date|lev(?:el)?_(?:dt|date)|(?:static_)?(?:water_)?level_date_measured"
        "|date_(?:level|measurement|tested|water_level)",
        "date_of_test|date_test|test_date|(?:last_)?(?:repair|inspection|check|service|visit)_date",
        "(?:date_)?(?:last_)?(?:checked|inspected|serviced|visited)(?:_on)?",
    ),
    "sealed_on": (
        "(?:decommission(?:ed)?|sealed|abandoned|plugged|abandonment)(?:_end)?_(?:date|on)"
        "|date_(?:sealed|plugged|abandoned|decommissioned)",
    ),
    "driller": (
        "(?:well_)?driller(?:_name|_nm)?|name_driller|drilled_by|(?:drilling|drilled)_(?:company|contractor|firm)",
        "(?:well_)?contractor(?:_name)?",
    ),
    "construction": (
        "construction(?:_(?:method|type))?|(?:drilling|drilled)_method|(?:well_)?type"
        "|method(?:_?of)?_(?:drilling|drilled|construction)",
        "well_construction",
    ),
    "use": (
        "intended_water_use(?:_code)?|(?:well_|water_|proposed_|primary_)?use|use_(?:well|water)"
        "|purpose(?:_well)?|well_purpose",
        "planned_use.*",
    ),
    "depth_ft": (
        "(?:finished|(?:total_)?completed)_(?:well_)?depth|depth_(?:finished|completed|completion)",
        "(?:well_|borehole_|bore_|water_)?depth(?:_va|_well|_hole|_borehole|_drilled)?"
        "|well_depth_va",
        "total_(?:well_|hole_)?depth(?:_drilled)?|hole_depth(?:_va)?|depth_total|(?:total_)?drilled_depth",
        "depth_(?:reached|to_bottom(?:_well)?)|(?:final|reached|completion)_depth|total_depth_well|total_bore(?:hole)?_depth",
    ),
    "water_level_ft": (
        "static_(?:water_)?(?:level|depth)(?:_depth)?|swl|(?:rest|standing)(?:_water)?_level",
        "(?:depth_(?:to_)?)?water(?:_level|_depth)?|(?:well_)?static(?:_water)?|level_static|depth_to_water",
        "level|level_va|lev_va|level_water",
        "(?:static_)?water_level_(?:average(?:_measured)?|measured)|static_head",
    ),
    "level_point": ("(?:water_level_)?(?:reference|measuring)_point",),
    "yield_gpm": (
        "(?:well_|reported_|tested_|test_)?yield|(?:well_)?yield_rate|yield_well",
        "yield_[a-z]{1,2}|yield_estimation_rate|(?:flow|recovery|production)(?:_rate)?|gpm|well_(?:gpm|flow)",
        f"{_USABLE}_(?:well_)?(?:yield|flow)|yield_(?:estimated|test|tested|maximum|exploitation)"
        "|capacity|pump(?:ing)?_rate|discharge(?:_rate)?|rate_flow"
        "|(?:pump(?:ing)?_)?test(?:_(?:rate|yield|gpm|flow))|gal_per_min(?:ute)?",
    ),
    "stick_up_ft": (
        "(?:final_)?(?:casing_)?stick_?up(?:_height)?",
        "reference_level|measuring_point_height|casing_height|height_casing",
    ),
    "flowing": (
        "artesian(?:_conditions|_flow)?(?:_flag)?|flowing(?:_(?:well|artesian))?(?:_flag)?",
    ),
    "notes": (
        "comments?|remarks?|notes?",
        "general_(?:comments|notes|remarks)|other_(?:info|notes)|memo|misc",
        "comments?_on_.*|.*_comments?",
    ),
    **{
        f"{kind}_{what}": (f"{kind}_{names}",)
        for kind in STRETCHES
        for what, names in {
            "from_ft": "(?:from|top|start)(?:_depth)?",
            "to_ft": "(?:to|bottom|end|depth|set|set_to)(?:_depth)?",
            "diameter_in": "(?:diameter|dia|diam|size|od|id)",
            "material": "material(?:_code)?",
        }.items()
    },
    "casing_code": ("casing_code|casing_type",),
    "pump.set_depth_ft": (
        "pump_(?:set|setting|installation|installed|intake)(?:_depth)?(?:_at)?|set_depth|pump_depth"
        "|intake_depth|depth_pump(?:_set)?",
        "(?:pump_)?(?:set|hung)(?:_at)?|pump_at|setting|intake|depth_set",
    ),
    "pump.set_on": (
        "pump_(?:set|installed|installation|install)_(?:on|date|year)"
        "|date_(?:of_)?pump_(?:set|installed|installation)|(?:year|date)_pump(?:_set|_installed)?",
        "(?:date|year)_(?:installed|set|in)|(?:installed|set)_(?:date|on|year)|pump_(?:year|date)",
        "installed|pump_installed|in_service|(?:pump_)?set",
    ),
    "pump.type": ("pump_(?:type|kind)|(?:type|kind)_(?:of_)?pump",),
    "pump.maker": ("pump_(?:maker?|brand|manufacturer)", "manufacturer|brand|make"),
    "pump.model": (f"pump_model(?:_{_NUMBER})?", f"model(?:_{_NUMBER})?"),
    "pump.model_year": ("pump_model_year", "model_year"),
    "pump.serial": (f"pump_serial(?:_{_NUMBER})?", f"serial(?:_{_NUMBER})?"),
    "pump.hp": (
        "(?:(?:pump|motor)_)?(?:(?:size|power)_)?(?:hp|horse_?power|kw|power)",
        "hp_(?:pump|motor)|pump_size",
    ),
    "pump.rated_gpm": (
        "pump_(?:rated_|rating_)?(?:flow|capacity|output|gpm)|pump_rat(?:ed|ing)",
        "gpm_(?:pump|rated)|rated_(?:flow|gpm)|gpm",
    ),
    "motor.supply_v": ("(?:motor_|pump_|supply_)?(?:volts?|voltage)",),
    "pipe.material": (
        "(?:drop_|riser_)?pipe_(?:material|type)|(?:drop|riser)_pipe|riser_material|rising_main",
        "pipe",
    ),
    "pipe.nominal_in": (
        "(?:drop_|riser_)?pipe_(?:diameter|dia|size)|riser_(?:diameter|size)",
        "(?:drop|riser)_pipe|pipe",
    ),
    "pipe.rating_psi": ("(?:drop_)?pipe_(?:pressure_)?rating|pipe_psi",),
    "pipe.to_ft": (
        "(?:drop_|riser_)?pipe_(?:length|depth|to)|riser_length|(?:length|feet)_(?:drop_)?pipe",
        "(?:drop|riser)_pipe|pipe",
    ),
    "cable.awg": (
        "(?:pump_|drop_)?(?:cable|wire)_(?:awg|gauge|size)|awg|gauge_(?:wire|cable)",
        "(?:pump_)?(?:cable|wire)",
    ),
    "tank.volume_gal": ("(?:pressure_)?tank_(?:volume|size|capacity|gal)",),
    "switch.cut_in_psi": ("(?:pressure_)?(?:switch_)?cut_?in|(?:psi|pressure|switch)_on",),
    "switch.cut_out_psi": ("(?:pressure_)?(?:switch_)?cut_?out|(?:psi|pressure|switch)_off",),
}
# A casing begins at the ground: of it alone the length is a depth.
KNOWN["casing_to_ft"] += (
    "casing_length|depth_(?:to_)?(?:bottom_)?casing|length_casing|depth_cased|cased_(?:to|depth)",
)
KNOWN["casing_diameter_in"] += (
    "casing_(?:internal|inside|outside)_diameter|diameter|(?:well|bore|hole)_diameter|diameter_(?:well|casing)",
)
for _second, _first in (("phone_2", "phone"), ("phone_3", "phone"), ("email_2", "email")):
    KNOWN[f"customer.{_second}"] = KNOWN[f"customer.{_first}"]
_OPENINGS = "(?:_?of)?_(?:perforat(?:ed|ions?)|screen(?:ed)?)(?:_interval)?"
KNOWN["screen_from_ft"] += (f"top{_OPENINGS}",)
KNOWN["screen_to_ft"] += (f"(?:bottom|base){_OPENINGS}",)
BOTH_DEGREES = re.compile(
    r"(?:well_|site_|location_)?(?:coordinates|position|geo(?:point|_point)?|location)(?:_coordinates)?"
)
"""A header of one column for latitude and longitude."""
