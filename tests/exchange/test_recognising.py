"""Columns are known by their headers in many words, and by what stands in them."""

from datetime import date
from pathlib import Path

import pytest
from import_files import read, written
from reading_files import mapped, targets

from wellbook.dates import When
from wellbook.exchange.cell_dates import as_iso
from wellbook.exchange.cell_places import degrees
from wellbook.exchange.headers import targets_of
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
    ],
)
def test_headers_in_many_words(header: str, target: str) -> None:
    assert targets_of(header)[0][0] == target


@pytest.mark.parametrize(
    "header",
    [
        *("weeks", "relapse", "Rx", "Invoice Total", "Amount", "Elevation", "Fax", "Website"),
        *("drawdown_m", "time_min", "SKU", "Quantity", "Balance due", "Sodium mg/l"),
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
    ],
)
def test_dates_as_they_are_written(text: str, day: str) -> None:
    iso, doubt = as_iso(text, "mdy" if text.startswith("5/") else "", TODAY)
    assert not doubt
    if text != day or not text.startswith("-"):
        assert When.parse(iso, said_on=TODAY).edtf() == day


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
