"""Contacts as phones and mail programs write them; read by a second reader where that can."""

from pathlib import Path

import pytest
import vobject
from import_files import written
from reading_files import DATA, mapped, records, rows_of

from wellbook.exchange.reading import data_rows, header_of, look, write_refused
from wellbook.exchange.well_record import Remark

# In the form of the example of RFC 6350, section 8 (all its kinds of lines), of an invented person;
# the example itself is among the sets of real records.
RFC_6350 = """\
BEGIN:VCARD
VERSION:4.0
FN:Ivo Thrupp
N:Thrupp;Ivo;;;ing. jr,M.Sc.
BDAY:--0203
ANNIVERSARY:20090808T1430-0500
GENDER:M
LANG;PREF=1:fr
LANG;PREF=2:en
ORG;TYPE=work:Thrupp Ltd
ADR;TYPE=work:;Suite D2-630;2875 Laurier;
 Quebec;QC;G1V 2M2;Canada
TEL;VALUE=uri;TYPE="work,voice";PREF=1:tel:+1-418-656-9254;ext=102
TEL;VALUE=uri;TYPE="work,cell,voice,text":tel:+1-418-262-6501
EMAIL;TYPE=work:ivo@thrupp.example
GEO;TYPE=work:geo:46.772673,-71.282945
KEY;TYPE=work;VALUE=uri:
 http://thrupp.example/ivo.asc
TZ:-0500
URL;TYPE=home:http://ivo.example
END:VCARD
"""


def test_the_example_of_the_standard(tmp_path: Path) -> None:
    (card,) = records(written(tmp_path / "a.vcf", RFC_6350))
    assert card == {
        **{"name": "Ivo Thrupp", "first name": "Ivo", "last name": "Thrupp"},
        **{"organisation": "Thrupp Ltd", "phone": "+1-418-656-9254 x102"},
        **{"phone 2": "+1-418-262-6501", "phone 3": "", "email": "ivo@thrupp.example"},
        **{"email 2": "", "road": "Suite D2-630, 2875 Laurier", "town": "Quebec", "region": "QC"},
        **{"postcode": "G1V 2M2", "country": "Canada", "notes": "of Thrupp Ltd"},
    }


def test_a_contact_of_an_old_phone(tmp_path: Path) -> None:
    text = (
        "BEGIN:VCARD\r\nVERSION:2.1\r\nN;CHARSET=ISO-8859-1;ENCODING=QUOTED-PRINTABLE:M=FCller;J=F6rg\r\n"
        "TEL;HOME:555-0101\r\nitem1.TEL;CELL;PREF:555-0102\r\nTEL;FAX:555-0103\r\n"
        "TEL;WORK:555-0104\r\nTEL:555-0105\r\n"
        "ADR;HOME;ENCODING=QUOTED-PRINTABLE;CHARSET=UTF-8:;;12 Chemin de l'=C3=89glise=\r\n"
        "=0D=0Abat. B;Bend;;04101;\r\n"
        "PHOTO;TYPE=JPEG;ENCODING=BASE64:\r\n /9j/4AAQSkZJRgABAQEAYABg\r\n\r\nEND:VCARD\r\n"
    )
    (card,) = records(written(tmp_path / "a.vcf", text))
    assert (card["name"], card["last name"]) == ("Jörg Müller", "Müller")
    assert [card[n] for n in ("phone", "phone 2", "phone 3")] == [
        "555-0102",
        "555-0101",
        "555-0104",
    ]
    assert card["notes"] == "fax 555-0103\nalso: 555-0105"
    assert (card["road"], card["postcode"]) == ("12 Chemin de l'Église bat. B", "04101")


def test_escapes_folds_and_a_second_address(tmp_path: Path) -> None:
    text = (
        "BEGIN:VCARD\nVERSION:3.0\nFN:Doe\\, John\nNOTE:gate code 12\\; dog\\nlong\n  line\n"
        "ADR;TYPE=WORK:;;1 Mill Rd;Bend;;;\nADR;TYPE=HOME:;;2 Lea Rd;Lea;;;\n"
        "EMAIL:a@b.example\nEMAIL;TYPE=pref:c@d.example\nEND:VCARD\n"
    )
    (card,) = records(written(tmp_path / "a.vcf", text))
    assert (card["name"], card["road"]) == ("Doe, John", "2 Lea Rd")
    assert card["notes"] == "gate code 12; dog\nlong line\nalso: 1 Mill Rd, Bend"
    assert (card["email"], card["email 2"]) == ("c@d.example", "a@b.example")


BROKEN = (
    "BEGIN:VCARD\nVERSION:3.0\nFN:One\nEND:VCARD\n"
    "stray words\n"
    "BEGIN:VCARD\nFN:Two\n"  # no end
    "BEGIN:VCARD\nFN:Three\nthis is no line of a card\nEND:VCARD\n"
    "BEGIN:VCARD\nVERSION:3.0\nNOTE:nobody\nEND:VCARD\n"
    "BEGIN:VCARD\nFN:Four\nEND:VCARD"
)


def test_broken_cards_are_refused_and_the_others_come_in(tmp_path: Path) -> None:
    path, bad = written(tmp_path / "a.vcf", BROKEN), tmp_path / "bad.vcf"
    rows = rows_of(path)
    assert [r.cells[0] for r in rows if not r.fault] == ["One", "Four"]
    faults = {r.number: r.fault for r in rows if r.fault}
    assert list(faults) == [5, 6, 8, 12]
    assert "END:VCARD is missing" in faults[6] and "this is no line" in faults[8]
    mapping = mapped(path)
    told = [(r.cells, [Remark(r.number, "", "", r.fault)]) for r in rows if r.fault]
    write_refused(bad, path, mapping, header_of(path, mapping), told)
    assert "X-REASON:not a line of a card" in bad.read_text(encoding="utf-8")
    assert len([r for r in data_rows(bad, mapping) if r.fault]) == len(faults)
    mended = bad.read_text(encoding="utf-8").replace("this is no line of a card\n", "")
    assert "Three" in [r.cells[0] for r in data_rows(written(bad, mended), mapping) if not r.fault]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_contacts_in_any_encoding(tmp_path: Path, encoding: str) -> None:
    text = "BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Zoë Bäcker\r\nEND:VCARD\r\n"
    path = written(tmp_path / "contacts.txt", text, encoding)
    assert look(path).form == "vcard" and records(path)[0]["name"] == "Zoë Bäcker"


def test_a_card_within_a_card_is_no_row(tmp_path: Path) -> None:
    # vCard 2.1, section 2.4.2: AGENT.
    text = (
        "BEGIN:VCARD\nVERSION:2.1\nFN:Boss\nAGENT:\nBEGIN:VCARD\nVERSION:2.1\nFN:Helper\nTEL:1\n"
        "END:VCARD\nTEL:555-0101\nEND:VCARD\n"
    )
    (card,) = records(written(tmp_path / "a.vcf", text))
    assert (card["name"], card["phone"]) == ("Boss", "555-0101")


@pytest.mark.realdata
@pytest.mark.parametrize(
    ("name", "cards"),
    [
        # mangstadt/ez-vcard, BSD-2-Clause style.
        *(("John_Doe_EVOLUTION.vcf", 1), ("John_Doe_GMAIL.vcf", 1), ("John_Doe_MS_OUTLOOK.vcf", 1)),
        *(("gmail-list.vcf", 3), ("rfc6350-example.vcf", 1)),
    ],
)
def test_contacts_of_others_as_a_second_reader_has_them(name: str, cards: int) -> None:
    if not DATA.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    path = DATA / "vcard" / name
    rows = records(path)
    assert len(rows) == cards and not any(r.fault for r in rows_of(path))
    parts = path.read_text(encoding="utf-8", errors="replace").split("END:VCARD")[:cards]
    for row, part in zip(rows, parts, strict=True):
        other = vobject.readOne(f"{part.strip()}\r\nEND:VCARD\r\n", allowQP=True)
        assert (row["last name"], row["first name"]) == (other.n.value.family, other.n.value.given)
        telephones = {str(x.value) for x in other.contents.get("tel", [])}
        mine = {row[n] for n in ("phone", "phone 2", "phone 3")} - {""}
        assert mine == {x.removeprefix("tel:").replace(";ext=", " x") for x in telephones}
        assert row["email"] in {str(x.value) for x in other.contents["email"]}
        if "adr" in other.contents:
            streets = [x.value.street or x.value.extended for x in other.contents["adr"]]
            # It breaks a text at its commas.
            words = [(x if isinstance(x, str) else x[0]).rstrip(",").split() for x in streets]
            assert any(" ".join(x) in row["road"] for x in words)


def test_a_card_with_an_odd_byte_is_named(tmp_path: Path) -> None:
    card = "BEGIN:VCARD\r\nVERSION:3.0\r\nFN:René {0}\r\nTEL:207555010{0}\r\nEND:VCARD\r\n"
    data = "".join(card.format(n) for n in range(5)).encode()
    path = tmp_path / "a.vcf"
    path.write_bytes(data.replace("René 3".encode(), b"Ren\xe9 3"))
    rows = rows_of(path)
    assert ["not written in UTF-8" in r.fault for r in rows] == [False] * 3 + [True, False]
    assert rows[0].cells[0] == "René 0" and "René 3" in rows[3].cells[0]
