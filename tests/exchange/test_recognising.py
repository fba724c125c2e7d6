"""Columns are known by their headers in many words, and by what stands in them."""

from datetime import date
from pathlib import Path

import pytest
from import_files import read, written
from reading_files import mapped, targets

from wellbook.dates import When
from wellbook.exchange.cell_dates import as_iso
from wellbook.exchange.cell_kinds import is_blank
from wellbook.exchange.cell_places import degrees
from wellbook.exchange.headers import targets_of, unit_and_point
from wellbook.exchange.reading import header_of, look
from wellbook.exchange.surveying import survey

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("header", "target"),
    [
        # As shops head their columns: common practice, no published source.
        *(
            ("Customer", "customer.name"),
            ("Owner", "customer.name"),
            ("Cust Name", "customer.name"),
        ),
        *(
            ("Last, First", "customer.name"),
            ("Phone #", "customer.phone"),
            ("Tel.", "customer.phone"),
        ),
        *(
            ("Cell", "customer.phone"),
            ("Mobile Phone", "customer.phone"),
            ("E-mail", "customer.email"),
        ),
        *(("EMAIL ADDRESS", "customer.email"), ("Service Address", "road"), ("Addr 1", "road")),
        *(
            ("Site Addr.", "road"),
            ("Zip", "postcode"),
            ("ZIP Code", "postcode"),
            ("Zip+4", "postcode"),
        ),
        *(("Gate code", "access"), ("Directions", "access"), ("Driving directions", "access")),
        *(("Well location", "well_head"), ("Billing Address", "customer.post")),
        *(
            ("W/L", "water_level_ft"),
            ("SWL (ft)", "water_level_ft"),
            ("Stat. Lvl", "water_level_ft"),
        ),
        *(
            ("Static", "water_level_ft"),
            ("Depth to water", "water_level_ft"),
            ("DTW", "water_level_ft"),
        ),
        *(
            ("TD", "depth_ft"),
            ("Total Depth", "depth_ft"),
            ("Dpth", "depth_ft"),
            ("Well Dpth", "depth_ft"),
        ),
        *(("Pump set @", "pump.set_depth_ft"), ("Setting", "pump.set_depth_ft"), ("HP", "pump.hp")),
        *(("Pump Depth", "pump.set_depth_ft"), ("GPM", "yield_gpm"), ("Yield GPM", "yield_gpm")),
        *(("Yr installed", "pump.set_on"), ("Install Date", "pump.set_on"), ("Wire", "cable.awg")),
        *(("Date Pump Installed", "pump.set_on"), ("Drop pipe", "pipe.material")),
        *(
            ("Date of service", "visit.on"),
            ("Work performed", "visit.notes"),
            ("Tech", "visit.crew"),
        ),
        *(("Reason for call", "visit.reason"), ("Complaint", "visit.reason")),
        *(("Pump info", "equipment"), ("Equipment", "equipment"), ("Permit #", "permit_no")),
        *(
            ("Well #", "key"),
            ("wellId", "key"),
            ("WELL_NO1", "key"),
            ("Date Drilled", "drilled_on"),
        ),
        *(("Yr. Drilled", "drilled_on"), ("First Name", "customer.first_name")),
        *(("lname", "customer.last_name"), ("Phone2", "customer.phone"), ("Adress", "road")),
        *(("Lattitude", "latitude"), ("Longitute", "longitude"), ("Telehpone", "customer.phone")),
        *(("Custmer", "customer.name"), ("Diamter (in)", "casing_diameter_in")),
        # Spanish, French, German: from dictionaries of everyday words.
        *(("Profundidad (m)", "depth_ft"), ("Profundidad del pozo", "depth_ft")),
        *(("Fecha de perforación", "drilled_on"), ("Propietario", "customer.name")),
        *(
            ("Dirección", "road"),
            ("Teléfono", "customer.phone"),
            ("Nivel estático", "water_level_ft"),
        ),
        *(("Caudal (l/s)", "yield_gpm"), ("Observaciones", "notes"), ("Municipio", "town")),
        *(("Profondeur (m)", "depth_ft"), ("Adresse", "road"), ("Téléphone", "customer.phone")),
        *(("Niveau statique", "water_level_ft"), ("Ville", "town"), ("Code postal", "postcode")),
        *(
            ("Débit", "yield_gpm"),
            ("Courriel", "customer.email"),
            ("Propriétaire", "customer.name"),
        ),
        *(
            ("Tiefe [m]", "depth_ft"),
            ("Brunnentiefe", "depth_ft"),
            ("Straße", "road"),
            ("PLZ", "postcode"),
        ),
        *(("Ruhewasserspiegel (m)", "water_level_ft"), ("Kunde", "customer.name"), ("Ort", "town")),
        *(("Bemerkungen", "notes"), ("Baujahr", "drilled_on"), ("Vorname", "customer.first_name")),
        *(("Profondeur atteinte (m)", "depth_ft"), ("N° ouvrage", "key"), ("Usage", "use")),
        *(("Date de fin de travaux", "drilled_on"), ("No. de Pozo", "key")),
        *(("Fecha de terminación", "drilled_on"), ("Gasto (lps)", "yield_gpm")),
        *(("Diámetro de ademe (pulg)", "casing_diameter_in"), ("Latitud N", "latitude")),
        *(("Endteufe (m)", "depth_ft"), ("Ruhewasserstand (m u. GOK)", "water_level_ft")),
        *(("Bohrungsnummer", "key"), ("Rohrdurchmesser (mm)", "casing_diameter_in")),
        # Portuguese.
        *(("Código do Poço", "key"), ("Proprietário", "customer.name"), ("Endereço", "road")),
        *(("Vazão (m³/h)", "yield_gpm"), ("Data de perfuração", "drilled_on"), ("CEP", "postcode")),
        *(("Profundidade da bomba (m)", "pump.set_depth_ft"), ("Telefone", "customer.phone")),
        # In the manner of registers: words cut short, or without anything between them.
        *(("TOTDEPTH1", "depth_ft"), ("YIELDGPM1", "yield_gpm"), ("LOCADDR1", "road")),
        *(("LOCTOWN1", "town"), ("DATE_DRLL", "drilled_on"), ("DEPTH_COMP", "depth_ft")),
        *(("SWLAVGMEAS", "water_level_ft"), ("SWLDATEMEA", "measured_on")),
        *(
            ("CASE_DIAM", "casing_diameter_in"),
            ("csg_len", "casing_to_ft"),
            ("scr_bot", "screen_to_ft"),
        ),
        *(("LAT83", "latitude"), ("LONGITUDE_GDA94", "longitude"), ("Latitude (DMS)", "latitude")),
        *(("CoordDDLat", "latitude"), ("LOCLON", "longitude"), ("GPS E", "longitude")),
        *(("WELL_REPORT_NUM", "key"), ("borehole_code", "key"), ("Water Point ID", "key")),
        *(("Total Depth of Well (ft.)", "depth_ft"), ("Well Depth Below Land Surface", "depth_ft")),
        *(
            ("Depth to Water (ft below land surface)", "water_level_ft"),
            ("Depth Cased", "casing_to_ft"),
        ),
        *(("PUMP_RATE_GPM", "yield_gpm"), ("Gallons Per Minute", "yield_gpm")),
        *(("Tested Yield (l/hr)", "yield_gpm"), ("Est. yield, gpm", "yield_gpm")),
        *(("Date Well Completed (MM/DD/YYYY)", "drilled_on"), ("Driller's Name", "driller")),
        *(("Well City/Village", "town"), ("ZIP_CD", "postcode"), ("FLOWING_YN", "flowing")),
        # Of shops and their programs for invoices.
        *(("Svc Street", "road"), ("Job Site", "road"), ("Bill Street", "customer.post")),
        *(("Inv Date", "visit.on"), ("Pump S/N", "pump.serial"), ("PSI On", "switch.cut_in_psi")),
        *(("Applicant", "customer.name"), ("own_lname", "customer.last_name")),
        ("Home #", "customer.phone"),
    ],
)
def test_headers_in_many_words(header: str, target: str) -> None:
    assert targets_of(header)[0][0] == target


@pytest.mark.parametrize(
    "header",
    [
        *("weeks", "relapse", "Rx", "Invoice Total", "Amount", "Elevation", "Fax", "Website"),
        *("drawdown_m", "time_min", "SKU", "Quantity", "Balance due", "Sodium mg/l"),
        # Levels above the sea, lengths that are no depths, and what is not of the well.
        *("WL Elev (ft)", "Water Level (ft msl)", "Land Surface Elevation", "Screen Length"),
        *("Depth to Bedrock", "Pumping Level (ft)", "Issue Date", "Year Built", "Mail City"),
        *("Depth (bedrock)", "Yield (imp gpm)", "Level (m NGF)", "Static Water Level (elev.)"),
    ],
)
def test_headers_of_other_things_are_none(header: str) -> None:
    assert not targets_of(header)


def test_units_in_headers_and_in_cells(tmp_path: Path) -> None:
    text = "id,Depth feet,SWL mbgl,Pump set @ (ft.),Pump GPM\n1,320',29.7,\"240'\",7 gpm\n"
    mapping = mapped(written(tmp_path / "a.csv", text))
    units = {t: c.unit for t, c in mapping.columns.items() if t != "key"}
    assert units == {
        **{"depth_ft": "ft", "water_level_ft": "m", "pump.set_depth_ft": "ft"},
        "pump.rated_gpm": "gpm",
    }
    (row,) = read(tmp_path / "a.csv")
    assert row.record and [round(r.value, 1) for r in row.record.readings] == [320, 97.4]


@pytest.mark.parametrize(
    ("header", "unit", "point"),
    [
        *(
            ("Depth (')", "ft", None),
            ("Diámetro (pulg)", "in", None),
            ("Tubage (zoll)", "in", None),
        ),
        *(("Yield (l/hr)", "l/h", None), ("PSI On", "psi", None), ("YIELDGPM1", "gpm", None)),
        ("Depth to Water (ft below land surface)", "ft", "ground"),
        ("Ruhewasserstand (m u. GOK)", "m", "ground"),
        ("Well Depth Below Land Surface", "", "ground"),
    ],
)
def test_units_and_points_in_more_words(header: str, unit: str, point: str | None) -> None:
    assert unit_and_point(header) == (unit, point)


# -- a column that is half of what it says, or is another's ------------------------------------


def left_out(text: str, folder: Path) -> dict[str, str]:
    return dict(mapped(written(folder / "a.csv", text)).left_out)


def test_degrees_without_their_minutes_are_no_place(tmp_path: Path) -> None:
    rows = "".join(f"{n},44,1{n},-72,3{n}\n" for n in range(5))
    text = f"id,Lat Deg,Lat Min,Lon Deg,Lon Min\n{rows}"
    assert targets(text, tmp_path) == {"id": "key"}
    assert "whole degrees" in left_out(text, tmp_path)["Lat Deg"]


def test_a_road_is_read_with_its_house_numbers_and_its_parts(tmp_path: Path) -> None:
    rows = "".join(f"{n},{n},N,Mill,RD\n" for n in range(5))
    text = f"id,STREET_NUM,STREET_DIR,STREET_NAME,STREET_TYPE\n{rows}"
    column = mapped(written(tmp_path / "a.csv", text)).columns["road"]
    assert column.names == ("STREET_NUM", "STREET_DIR", "STREET_NAME", "STREET_TYPE")


def test_longitudes_that_lie_on_the_wrong_side(tmp_path: Path) -> None:
    rows = "".join(f"{n},40.{n}5,105.{n}5,CO\n" for n in range(5))
    text = f"id,lat,long,state\n{rows}"
    assert set(targets(text, tmp_path).values()) == {"key", "region"}
    assert "would lie east of Greenwich; write -105.05" in left_out(text, tmp_path)["long"]
    rows = "".join(f"{n},20.{n}5,101.{n}5\n" for n in range(5))
    assert (
        "west by its header" in left_out(f"id,Latitud N,Longitud O\n{rows}", tmp_path)["Longitud O"]
    )
    # Nothing says where these are: they stay, and it is said how they are taken.
    mapping = mapped(written(tmp_path / "a.csv", f"id,lat,long\n{rows}"))
    assert "taken as east of Greenwich" in mapping.grounds["places"]


def test_latitudes_further_south_than_any_well_are_the_longitudes(tmp_path: Path) -> None:
    rows = "".join(f"{n},44.{n}5,-72.{n}5\n" for n in range(5))
    read_as = targets(f"id,X,Y\n{rows}", tmp_path)
    assert (read_as["X"], read_as["Y"]) == ("latitude", "longitude")


def test_a_map_grid_is_not_read_and_said_so(tmp_path: Path) -> None:
    rows = "".join(f"{n},48000{n},498000{n}\n" for n in range(5))
    for east, north in (("UTME", "UTMN"), ("Easting", "Northing"), ("X", "Y")):
        text = f"id,{east},{north}\n{rows}"
        assert targets(text, tmp_path) == {"id": "key"}
        assert "map grid" in left_out(text, tmp_path)[east]


def test_levels_of_which_another_column_says_the_side(tmp_path: Path) -> None:
    rows = "".join(f"{n},{n},{'A' if n % 2 else 'B'}\n" for n in range(6))
    text = f"id,Static Water Level (ft),Static Above/Below\n{rows}"
    assert "water_level_ft" not in targets(text, tmp_path).values()


def test_what_other_columns_tell_of_a_date(tmp_path: Path) -> None:
    day = "5/14/2011"
    assert (
        targets(f"id,Depth (ft),Install Date\n1,90,{day}\n", tmp_path)["Install Date"]
        == "drilled_on"
    )
    text = f"id,Depth (ft),Pump HP,Install Date\n1,90,1/2,{day}\n"
    assert targets(text, tmp_path)["Install Date"] == "pump.set_on"
    assert targets(f"Date,Depth to Water,Well\n{day},20,W1\n", tmp_path)["Date"] == "measured_on"
    text = f"id,Set,Pump Depth (ft)\n1,{day},90\n2,2011-05-15,80\n3,{day},90\n"
    assert targets(text, tmp_path)["Set"] == "pump.set_on"


def test_a_thing_of_a_length(tmp_path: Path) -> None:
    assert targets("Customer,well,Pump ft\nJo Lea,320',180\n", tmp_path) == {
        **{"Customer": "customer.name", "well": "depth_ft", "Pump ft": "pump.set_depth_ft"}
    }


def test_several_telephones_in_a_cell_and_one_behind_a_name(tmp_path: Path) -> None:
    rows = "".join(f"Jo Lea,207-555-010{n} / 555-020{n},90'\n" for n in range(5))
    assert targets(f"Cust,ph,Depth\n{rows}", tmp_path)["ph"] == "customer.phone"
    rows = "".join(f"Jo Lea 207-555-010{n},{n} Mill Rd,90'\n" for n in range(5))
    first = read(written(tmp_path / "a.csv", f"Name,Where,Depth\n{rows}"))[0].record
    assert first and first.person and first.site["road"] == "0 Mill Rd"
    assert (first.person.name, first.person.digits) == ("Jo Lea", ["+12075550100"])


def test_a_rate_alone_is_no_pump(tmp_path: Path) -> None:
    text = "id,Bailer Test,Other\n" + "1,10 gpm,1/2hp 7gpm 2011 @ 240\n" * 4
    assert targets(text, tmp_path) == {"id": "key", "Other": "equipment"}


def test_values_speak_against_a_header(tmp_path: Path) -> None:
    lines = "".join(f"{n},{200 + n},{n}.5\n" for n in range(9))
    mapping = mapped(written(tmp_path / "a.csv", f"well no,date drilled,phone\n{lines}"))
    assert set(mapping.columns) == {"key"}
    said = dict(mapping.left_out)
    assert "its header says drilled_on, but not its values, such as '200'" in said["date drilled"]
    assert "customer.phone" in said["phone"]


def test_a_well_may_be_a_number_or_a_name(tmp_path: Path) -> None:
    rows = "".join(f"{n},Mill Rd,90\n" for n in range(4))
    assert targets(f"Well,Road,depth_ft\n{rows}", tmp_path)["Well"] == "key"
    rows = "".join(f"{n},Mill Rd,90\n" for n in ("Old Mill", "Bend", "Lea Farm", "Church"))
    assert targets(f"Well,Road,depth_ft\n{rows}", tmp_path)["Well"] == "name"


def test_what_may_be_two_things_is_said(tmp_path: Path) -> None:
    mapping = mapped(written(tmp_path / "a.csv", "well no,name,gpm\n1,Old Mill,7\n"))
    name, gpm = mapping.columns["name"], mapping.columns["yield_gpm"]
    assert name.why.endswith("or customer.name") and gpm.why.endswith("or pump.rated_gpm")
    assert gpm.confidence < 0.8 < mapping.columns["key"].confidence
    # A telephone beside it tells whose name it is.
    text = "name,phone,depth_ft\nJo Lea,555-0101,90\nAl Bend,555-0102,80\n"
    assert targets(text, tmp_path)["name"] == "customer.name"


def test_confidence_is_no_part_of_a_mapping(tmp_path: Path) -> None:
    mapping = mapped(written(tmp_path / "a.csv", "well no,depth_ft\n1,90\n"))
    column = mapping.columns["depth_ft"]
    assert (column.why, 0.9 < column.confidence <= 1) == ("header and values", True)
    assert column == type(column)(column.name, column.unit, column.point)


def test_several_telephones_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = "Customer,Home Phone,Cell,Work Phone,Email,Work email\n"
    text += "Jo,555-0100,555-0101,555-0102,a@b.example,c@d.example\n"
    assert targets(text, tmp_path) == {
        **{"Customer": "customer.name", "Home Phone": "customer.phone", "Cell": "customer.phone_2"},
        **{"Work Phone": "customer.phone_3", "Email": "customer.email"},
        "Work email": "customer.email_2",
    }


@pytest.mark.parametrize(
    ("line", "known"),
    [
        # No headers at all; and headers that say nothing.
        ("Lea Jo,12 Mill Rd,207-555-0147,jo@lea.example,1/2hp 7gpm 2011 @ 240", ""),
        ("Lea Jo,12 Mill Rd,207-555-0147,jo@lea.example,1/2hp 7gpm 2011 @ 240", "f1,f2,f3,f4,f5\n"),
    ],
)
def test_columns_by_their_values(tmp_path: Path, line: str, known: str) -> None:
    text = known + "".join(f"{line}\n".replace("0147", f"01{n}") for n in range(10, 20))
    mapping = mapped(written(tmp_path / "a.csv", text))
    wanted = {"customer.phone", "customer.email", "equipment"}
    assert wanted <= set(mapping.columns)
    assert all(c.why == "by its values" and c.confidence <= 0.7 for c in mapping.columns.values())
    assert ("road" in mapping.columns) == (not known)


def test_both_degrees_in_one_column(tmp_path: Path) -> None:
    text = (
        'id,GPS\n1,"44.263, -72.58"\n2,"N 44 15.78, W 72 34.8"\n3,"44,26"\n4,"1.5, 2"\n5,"1.5, 2"\n'
    )
    rows = read(written(tmp_path / "a.csv", text))
    places = [(r.record.site["latitude"], r.record.site["longitude"]) for r in rows[:2] if r.record]
    assert places == [(44.263, -72.58), (44.263, -72.58)]
    assert rows[2].record is None


@pytest.mark.parametrize(
    ("text", "latitude", "longitude"),
    [
        # 37°36'37.8" is 37 + 36/60 + 37.8/3600; the cell is csv-spectrum's, its sign lost on the way.
        ("37\ufffd36'37.8\"N 121\ufffd2'17.9\"W", 37.6105, -121.038306),
        ("44.5 -72.25", 44.5, -72.25),
        ("(44.5; -72.25)", 44.5, -72.25),
        ("-172.25, 44.5", 44.5, -172.25),
        ("POINT (-72.25 44.5)", 44.5, -72.25),
        ("44°30'N, 72°15'W", 44.5, -72.25),
        ("N44.5 W72.25", 44.5, -72.25),
        ("44.5N 72.25W", 44.5, -72.25),
        ("33°52′10″S 151°12′30″E", -33.869444, 151.208333),
    ],
)
def test_places_as_they_are_written(text: str, latitude: float, longitude: float) -> None:
    assert degrees(text, "latitude") == pytest.approx(latitude, abs=2e-6)
    assert degrees(text, "longitude") == pytest.approx(longitude, abs=2e-6)


@pytest.mark.parametrize("text", ["abc", "44 75", "12/3", "44.5N", "1,2,3"])
def test_what_is_no_longitude_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a number of degrees"):
        degrees(text, "longitude")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        # POSIX: seconds since 1970; ECMA-376: days since the end of 1899.
        *(("1305331200000", "2011-05-14"), ("1305331200", "2011-05-14"), ("40677", "2011-05-14")),
        *(("40677.75", "2011-05-14"), ("20110514", "2011-05-14"), ("20110514.0", "2011-05-14")),
        *(("20110514133000", "2011-05-14"), ("-86400000", "-86400000"), ("2011", "2011")),
        *(("5/14/2011 1:30:00 PM", "2011-05-14"), ("14.5.2011", "2011-05-14")),
        *(("2011-05-14T23:30:00Z", "2011-05-14"), ("Sat, May 14, 2011", "2011-05-14")),
        *(("5/14/98", "1998-05-14"), ("5/14/26", "2026-05-14"), ("5/14/27", "1927-05-14")),
        *(("14-May-11", "2011-05-14"), ("May 2011", "2011-05"), ("14 de mayo 2011", "2011-05-14")),
        *(("14. März 2011", "2011-03-14"), ("3 août 2011", "2011-08-03")),
        # March is short for no day of the week.
        *(
            ("Mar 2014", "2014-03"),
            ("March 14, 2011", "2011-03-14"),
            ("Mar 14, 2011", "2011-03-14"),
        ),
        *(("mardi 14 mars 2011", "2011-03-14"), ("15 de março de 2014", "2014-03-15")),
        *(("17-MAR-14", "2014-03-17"), ("Jun-98", "1998-06"), ("2014/06", "2014-06")),
        *(("spring '09", "2009-03/2009-05"), ("fall 98", "1998-09/1998-11")),
        # A month or a day of nothing is not known.
        *(("19980000", "1998"), ("19980600", "1998-06"), ("199806", "1998-06")),
        *(("1998-00-00", "1998"), ("0/0/1998", "1998"), ("1/1/1901", "1901-01-01")),
    ],
)
def test_dates_as_they_are_written(text: str, day: str) -> None:
    iso, doubt = as_iso(text, "mdy" if text.startswith("5/") else "", TODAY)
    assert not doubt
    if text != day or not text.startswith("-"):
        assert When.parse(iso, said_on=TODAY).edtf() == day


@pytest.mark.parametrize(
    "text",
    # The least and the greatest day of programs, or digits of one kind: common practice, no source.
    [
        *("1/1/1900", "1900-01-01 00:00:00", "19000101", "1/0/1900", "12/30/1899", "0", "00000000"),
        *("00/00/0000", "9/9/9999", "12/31/9999", "31-DEC-9999", "99999999", "-9999"),
    ],
)
def test_dates_that_programs_write_for_none(text: str) -> None:
    iso, doubt = as_iso(text, "mdy", TODAY)
    assert "taken as not known" in doubt and not When.parse(iso, said_on=TODAY).known


def test_a_month_with_two_digits_can_be_a_day() -> None:
    assert as_iso("Mar-14", "", TODAY) == (
        "Mar 2014",
        "it is read as Mar 2014; it can be a day of that month",
    )


@pytest.mark.parametrize(
    ("text", "blank"),
    [
        *((t, True) for t in ("", "N/A", "unk", "Unknown", "<Null>", "-9999", "-999.0", "99999")),
        *((t, True) for t in ("-8888", "-1e+38", "-32768")),
        *((t, False) for t in ("0", "-9", "-99", "999", "9999", "-3.5", "dry", "none of these")),
    ],
)
def test_what_says_that_nothing_is_known(text: str, blank: bool) -> None:
    assert is_blank(text) == blank


def test_what_a_file_counts_its_dates_by_is_said(tmp_path: Path) -> None:
    text = "id,drilled,measured_on\n1,40677,5/14/98\n2,40678,1/2/99\n"
    path = written(tmp_path / "a.csv", text)
    mapping = survey(path, mapped(path), look(path).headers)
    assert header_of(path, mapping) == look(path).headers
    assert mapping.date_order == "mdy"
    assert (
        "row 2 has 40677, which counts days as spreadsheets do: 2011-05-14"
        in mapping.grounds["numbers"]
    )
    assert "the last such year that is not ahead (row 2 has 5/14/98)" in mapping.grounds["years"]
    rows = read(path)
    assert [r.record.well["drilled"].edtf() for r in rows if r.record] == [
        "2011-05-14",
        "2011-05-15",
    ]


def test_a_file_says_what_kind_it_is(tmp_path: Path) -> None:
    people = mapped(written(tmp_path / "a.csv", "Customer,Phone\nJo Lea,555-0101\n"))
    assert people.grounds["kind"] == "no column tells of a well: these are contacts"
    visits = "Customer,Date,Work performed,Tech\nJo Lea,5/14/2011,pulled pump,Al\n"
    mapping = mapped(written(tmp_path / "b.csv", visits))
    assert mapping.grounds["kind"] == "no column tells of a well itself: these are visits"
    assert mapping.columns["visit.on"].name == "Date"
    assert "kind" not in mapped(written(tmp_path / "c.csv", "id,depth_ft\n1,90\n")).grounds


FILES = {
    # Invented records under headers in the manner of state extracts and of shops' own lists.
    "squeezed": (
        "WCRNumber,LegacyLogNumber,City,PlannedUseFormerUse,DrillerName,MethodofDrilling,DecimalLatitude,"
        "DecimalLongitude,TotalDrillDepth,TotalCompletedDepth,TopOfPerforatedInterval,DateWorkEnded,"
        "StaticWaterLevel\n"
        "W1,E1,Bend,Domestic,Lea Bros,Rotary,44.12345,-120.5432,420,400,200,5/14/2011,120\n"
        "W2,E2,Bend,Domestic,Lea Bros,Rotary,44.12346,-120.5433,320,300,100,5/15/2011,90\n",
        {
            **{"WCRNumber": "key", "City": "town", "PlannedUseFormerUse": "use"},
            **{"DrillerName": "driller", "MethodofDrilling": "construction"},
            **{"DecimalLatitude": "latitude", "DecimalLongitude": "longitude"},
            **{"TotalCompletedDepth": "depth_ft", "TopOfPerforatedInterval": "screen_from_ft"},
            **{"DateWorkEnded": "drilled_on", "StaticWaterLevel": "water_level_ft"},
        },
    ),
    "of a map": (
        "OBJECTID,WRBNO,TOWN,OWNER1,DATE_COMPL,DPTH_TOT,SWL,LATITUDE1,LONGITUDE1,DRILLER\n"
        "1,123.0045,BEND,LEA JO,1305331200000,320,35,43.12345,-71.23456,LEA BROS\n"
        "2,123.0046,BEND,LEA AL,1305417600000,420,40,43.22345,-71.23456,LEA BROS\n",
        {
            **{
                "WRBNO": "key",
                "TOWN": "town",
                "OWNER1": "customer.name",
                "DATE_COMPL": "drilled_on",
            },
            **{"DPTH_TOT": "depth_ft", "SWL": "water_level_ft", "DRILLER": "driller"},
            **{"LATITUDE1": "latitude", "LONGITUDE1": "longitude"},
        },
    ),
    "of a shop": (
        "Lea Pump Service,,,,,,,,,,,\nCustomer list as of 2020,,,,,,,,,,,\n"
        "Last,First,Ph,Cell,Street,City/Town,St,Zip,Dpth,Stat Lvl,Pump,Notes\n"
        "Lea,Jo,555-0101,555-0102,12 Mill Rd,Bend,ME,04101,320',40',1/2hp 7gpm 2011 @ 240,dog\n",
        {
            **{
                "Last": "customer.last_name",
                "First": "customer.first_name",
                "Ph": "customer.phone",
            },
            **{"Cell": "customer.phone_2", "Street": "road", "City/Town": "town", "St": "region"},
            **{"Zip": "postcode", "Dpth": "depth_ft", "Stat Lvl": "water_level_ft"},
            **{"Pump": "equipment", "Notes": "notes"},
        },
    ),
    "of pumps": (
        "Well ID,Pump Make,HP,Volts,Pump Set Depth,Drop Pipe,Drop Pipe Size,Wire Size,Tank Size (gal),"
        "Installed,Depth to water (ft),Date measured\n"
        "1,Acme,0.5,230,240,Poly,1,12,20,2011,40,5/14/2011\n",
        {
            **{
                "Well ID": "key",
                "Pump Make": "pump.maker",
                "HP": "pump.hp",
                "Volts": "motor.supply_v",
            },
            **{"Pump Set Depth": "pump.set_depth_ft", "Drop Pipe": "pipe.material"},
            **{"Drop Pipe Size": "pipe.nominal_in", "Wire Size": "cable.awg"},
            **{"Tank Size (gal)": "tank.volume_gal", "Installed": "pump.set_on"},
            **{"Depth to water (ft)": "water_level_ft", "Date measured": "measured_on"},
        },
    ),
    "of visits": (
        "Date,Customer Name,Address,Problem,What we did,Tech,Invoice #,Amount\n"
        "5/14/11,Jo Lea,12 Mill Rd,no water,pulled pump,AL,101,$1200\n",
        {
            **{"Date": "visit.on", "Customer Name": "customer.name", "Address": "road"},
            **{"Problem": "visit.reason", "What we did": "visit.notes", "Tech": "visit.crew"},
        },
    ),
}


@pytest.mark.parametrize("name", FILES)
def test_whole_files(tmp_path: Path, name: str) -> None:
    text, wanted = FILES[name]
    assert targets(text, tmp_path) == wanted


def test_a_list_without_headers(tmp_path: Path) -> None:
    text = "".join(
        f"{who},{n} Mill Rd,Bend,ME,0410{n},207-555-010{n},{300 + n},5/1{n}/2011\n"
        for n, who in enumerate(("Jo Lea", "Al Bend", "Ed Church", "Di Mill"), 1)
    )
    mapping = mapped(written(tmp_path / "a.csv", text))
    assert list(mapping.columns) == [
        *("customer.name", "road", "town", "region", "postcode", "customer.phone", "depth_ft"),
        "drilled_on",
    ]
    assert max(c.confidence for c in mapping.columns.values()) <= 0.6
