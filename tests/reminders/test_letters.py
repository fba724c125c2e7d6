"""What a customer reads: the templates that come with the program, and what a shop may do to them."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.errors import WellbookError
from wellbook.reminders.letter_facts import SAMPLES, Facts, OneWell, Receiver, Told
from wellbook.reminders.letter_filters import FILTERS
from wellbook.reminders.letters import TemplateKind, check_template, default_template, render

RICH = SAMPLES[0]
WRITTEN = [TemplateKind.LETTER, TemplateKind.POSTCARD, TemplateKind.EMAIL]
KINDS = list(TemplateKind)
END = "\n\n{{ shop.name }} {{ shop.phone }}"


def made(kind: TemplateKind, facts: Facts = RICH) -> str:
    message = render(default_template(kind), facts, kind)
    return f"{message.subject}\n\n{message.text}"


# -- the words that come with the program --------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("facts", SAMPLES)
def test_the_templates_that_come_along(kind: TemplateKind, facts: Facts) -> None:
    check_template(default_template(kind), kind)
    text = made(kind, facts)
    assert not re.search(r"[{}]|\bNone\b|  | [.,;:]|\(\)", text), text
    # Never an opinion on a well or its water: SERVICE figures, "compared with" only.
    assert not re.search(r"\b(un)?safe|\bclean\b|\bhealthy\b|\bgood water", text, re.IGNORECASE)
    for well in facts.wells:
        assert well.tag in text
    for one in facts.told:
        said = one.what if kind is TemplateKind.POSTCARD else one.sentence
        assert said.casefold() in text.casefold()
    assert "leave the opening of the well to us" in text


@pytest.mark.parametrize("kind", [TemplateKind.LETTER, TemplateKind.EMAIL])
def test_a_letter_names_this_well_this_date_this_pump(kind: TemplateKind) -> None:
    """A published trial found that such letters move people (J. Water Health 2020, wh.2020.059)."""
    text = made(kind)
    for named in (
        *("4 Larkspur Bend in Nettlewick", "Well TF-0031 (behind the barn", "TF-0032"),
        *(RICH.told[0].sentence, "Its pump: a 1-1/2 hp submersible, set on August 30, 2018."),
        *("240 volt", "well pit", "chlorine"),
    ):
        assert named in text


@pytest.mark.parametrize("kind", [TemplateKind.LETTER, TemplateKind.EMAIL, TemplateKind.CALL])
def test_where_water_is_the_matter_others_are_asked(kind: TemplateKind) -> None:
    """CDC and the states: a certified laboratory, and the health department for what it means."""
    dry = replace(RICH, wells=RICH.wells[:1])
    for words in ("certified laboratory", "ealth department"):
        assert words in made(kind)
        assert words not in made(kind, dry)


def test_a_card_says_nothing_that_is_not_for_everybodys_eyes() -> None:
    text = made(TemplateKind.POSTCARD)
    well = RICH.wells[0]
    for private in (*(one.sentence for one in RICH.told), well.where, well.pump):
        assert private not in text


def test_a_card_names_each_thing_once_by_its_first_day() -> None:
    water = Told("water-test", "water test", "Nitrate.", date(2026, 12, 16), is_water=True)
    due = replace(water, sentence="Bacteria.", ahead=None)
    check_up = replace(water, what="check-up", ahead=date(2026, 12, 9))
    wells = (OneWell("TF-0031", (check_up, water, due)), OneWell("TF-0032", (check_up,)))
    card = made(TemplateKind.POSTCARD, replace(RICH, wells=wells))
    assert "\n\nCheck-up, from December 9, 2026\nWater test is due\n\n" in card


def test_a_card_holds_a_property_with_much_due_on_it() -> None:
    long = "yearly check-up and a look at cable, tank, switch and seal"
    told = tuple(replace(RICH.told[0], what=f"{long} {n}") for n in range(30))
    facts = replace(RICH, wells=(replace(RICH.wells[0], told=told),))
    text = made(TemplateKind.POSTCARD, facts)
    assert text.count("Yearly check-up") == 4
    assert "and more" in text
    assert "and more" not in made(TemplateKind.POSTCARD)


def test_an_e_mail_has_address_and_way_out() -> None:
    """15 U.S.C. 7704(a)(5)(A): a way out that is clearly seen, and a valid postal address."""
    text = made(TemplateKind.EMAIL)
    assert "18 Foundry Lane\nNettlewick, ST 00000\n555-0100" in text
    assert text.endswith("To get no more of these by e-mail, answer with STOP, or ring 555-0100.\n")


def test_a_call_is_three_lines() -> None:
    (said,) = render(default_template(TemplateKind.CALL), RICH, TemplateKind.CALL).paragraphs
    assert said.count("\n") == 2


@pytest.mark.parametrize("kind", KINDS)
def test_a_thousand_things_still_make_a_message_or_one_clear_line(kind: TemplateKind) -> None:
    facts = replace(RICH, wells=RICH.wells * 500)
    try:
        assert len(made(kind, facts)) < 21_000
    except WellbookError as error:
        assert "more than 20000 signs" in str(error)


# -- hostile facts -------------------------------------------------------------------------------


def test_what_is_typed_into_a_name_is_text() -> None:
    name = "Orla\r\nBcc: all@x.example\n\nSubject: {{ shop.phone }} {% for x in told %} {# x #}"
    facts = replace(RICH, receiver=Receiver(name))
    for kind in KINDS:
        message = render(default_template(kind), facts, kind)
        tame = render(default_template(kind), RICH, kind)
        said = "Orla Bcc: all@x.example Subject: {{ shop.phone }} {% for x in told %} {# x #}"
        assert said in message.subject + message.text
        assert "\n" not in message.subject
        assert len(message.paragraphs) == len(tame.paragraphs)


typed = st.text(max_size=30) | st.text("a{}%#\r\n\t\x00\x1b\u2028 ", max_size=30)


@given(name=typed, sentence=typed, what=typed, road=typed)
def test_nothing_typed_makes_a_line_or_a_paragraph(
    name: str, sentence: str, what: str, road: str
) -> None:
    told = Told("check-up", f"x{what}", f"x{sentence}", date(2026, 12, 9))
    wells = (OneWell("TF-0031", (told,), f"x{what}"),)
    facts = replace(RICH, wells=wells, receiver=Receiver(f"x{name}"))
    facts = replace(facts, place=replace(RICH.place, road=f"x{road}"))
    tame = Told("check-up", "x", "x", date(2026, 12, 9))
    calm = replace(RICH, wells=(OneWell("TF-0031", (tame,), "x"),))
    for kind in (TemplateKind.LETTER, TemplateKind.EMAIL, TemplateKind.CALL):
        said, usual = (render(default_template(kind), one, kind) for one in (facts, calm))
        assert said.text.count("\n") == usual.text.count("\n")
        assert len((said.subject + said.text).splitlines()) == len(
            (usual.subject + usual.text).splitlines()
        )


# -- a shop's own template -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("", 1, "the first line is 'Subject: ...'"),
        ("Dear {{ receiver.name }}", 1, "the first line is"),
        ("Subject:\n\nx", 1, "the first line is"),
        ("Subject: {{ shop.fone }}", 1, "no field 'fone' of Shop; did you mean 'phone'?"),
        ("Subject: x\n\n{{ phone }}", 3, "no field 'phone'; did you mean 'shop.phone'?"),
        ("Subject: x\n\n{{ recevier.name }}", 3, "did you mean 'receiver'?"),
        ("Subject: x\n\n{{ zzzz }}", 3, "there are shop, receiver, place, wells, day"),
        # Also in a branch that no sample comes through.
        ("Subject: x\n{% if not shop.name %}\n{{ shop.fone }}\n{% endif %}", 3, "'phone'?"),
        ("Subject: x\n\n{% for a in told %}{{ a.rul }}{% endfor %}", 3, "did you mean 'rule'?"),
        ("Subject: x\n\n{% for a in told %}{{ b.well }}{% endfor %}", 3, "no field 'b'"),
        ("Subject: x\n{% for a in told %}\n", 5, "endfor"),
        ("Subject: x\n{{ shop.name", 4, "end of"),
        ("Subject: x\n\n{{ shop }}", 3, "name one of its fields: name, address_lines"),
        ("Subject: x\n\n{{ told }}", 3, "write it with a filter: listed, length"),
        ("Subject: x\n\n{{ day }}", 3, "write it with a filter: day, month"),
        ("Subject: x\n\n{{ is_water }}", 3, "not text"),
        ("Subject: x\n\n{{ day ~ day }}", 3, "write it with a filter"),
        ("Subject: x\n\n{{ told|day }}", 3, "'day' wants a day"),
        ("Subject: x\n\n{{ shop.name|join }}", 3, "no filter 'join'; there are day, month"),
        ("Subject: x\n\n{{ shop.name|short('x') }}", 3, "short wants the number of signs"),
        ("Subject: x\n\n{{ shop.name|short(1, 2) }}", 3, "cut between words"),
        ("Subject: x\n{% for a in told %}\n{{ a.ahead|day }}\n{% endfor %}", 3, "not always known"),
        ("Subject: x\n{% if day > 3 %}x{% endif %}", 2, "cannot be compared"),
        ("Subject: x\n{% for a in shop.name %}x{% endfor %}", 2, "for one in told"),
        ("Subject: x\n{% for a, b in told %}x{% endfor %}", 2, "for one in told"),
        ("Subject: x\n{% for a in told recursive %}x{% endfor %}", 2, "for one in told"),
    ],
)
def test_a_slip_is_named_with_its_line(text: str, line: int, said: str) -> None:
    with pytest.raises(WellbookError) as told:
        check_template(text + END, TemplateKind.LETTER)
    assert str(told.value).startswith(f"the letter template: line {line}: ")
    assert said in str(told.value)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    "text",
    [
        *("{{ ''.__class__.__mro__ }}", "{{ shop.__class__ }}", "{{ shop['name'] }}"),
        *("{{ range(9) }}", "{{ cycler(1) }}", "{{ shop.name.upper() }}", "{{ 9 ** 9 }}"),
        *("{{ 'a' * 9 }}", "{{ [1] }}", "{{ {'a': 1} }}", "{{ self }}", "{{ _rounds }}"),
        *("{% set a = 1 %}", "{% macro a() %}{% endmacro %}", "{% include 'a' %}"),
        *("{% extends 'a' %}", "{% import 'a' as b %}", "{% block a %}{% endblock %}"),
        *("{% filter upper %}x{% endfilter %}", "{% call a() %}{% endcall %}", "{% do a %}"),
        *("{{ shop.name is defined }}", "{{ told|map(attribute='well') }}", "{{ 'a'|attr('b') }}"),
        *("{{ loop.index }}", "{% with a = 1 %}{% endwith %}", "{{ told|_counted }}"),
        *("{{ " + "9" * 5000 + " }}", "{{ (1,) }}", "{{ -1 }}"),
    ],
)
def test_nothing_but_the_small_language(text: str) -> None:
    with pytest.raises(WellbookError) as told:
        check_template(f"Subject: x\n\n{text}{END}", TemplateKind.LETTER)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{% for a in told %}" * 15 + "{% endfor %}" * 15, "more than 10000 rounds"),
        ("{% for a in told %}" * 40 + "{% endfor %}" * 40, "nested|rounds"),
        ("{% if day %}" * 500 + "{% endif %}" * 500, "nested"),
        ("{{ " + "(" * 5000 + "1" + ")" * 5000 + " }}", "nested"),
        ("{{ " + "not " * 4000 + "1 }}", "nested"),
        ("{{ shop.name }}" * 1200, "more than 20000 signs come out"),
        ("x" * 20_001, "at most 20000 signs"),
    ],
)
def test_what_has_no_end_is_bounded(text: str, said: str) -> None:
    with pytest.raises(WellbookError, match=said):
        check_template(f"Subject: x\n{text}{END}", TemplateKind.LETTER)


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (
            TemplateKind.EMAIL,
            "{{ shop.name }} {{ shop.phone }}\n\n{{ way_out }}",
            "whole postal address",
        ),
        (
            TemplateKind.EMAIL,
            "{{ shop.name }} {{ shop.phone }}\n"
            "{% for line in shop.address_lines %}\n{{ line }}\n{% endfor %}",
            "{{ way_out }}",
        ),
        (TemplateKind.LETTER, "{{ shop.name }}", "phone number is missing"),
        (TemplateKind.EMAIL, "{{ shop.phone }}", "name is missing"),
        (TemplateKind.CALL, " \n \n", "nothing below the subject"),
        (TemplateKind.POSTCARD, "{{ shop.name }} {{ shop.phone }}" + "\nx" * 18, "holds 18"),
        # Only where the sample has little: a condition that drops what has to stand there.
        (
            TemplateKind.EMAIL,
            default_template(TemplateKind.EMAIL)
            .partition("\n")[2]
            .replace("{{ way_out }}", "{% if place.road %}{{ way_out }}{% endif %}"),
            "{{ way_out }}",
        ),
    ],
)
def test_what_has_to_stand_there_is_missed(kind: TemplateKind, text: str, said: str) -> None:
    with pytest.raises(WellbookError) as told:
        check_template(f"Subject: x\n\n{text}", kind)
    assert said in str(told.value)


def test_a_shop_without_an_address_sends_no_e_mail() -> None:
    facts = replace(RICH, shop=replace(RICH.shop, address_lines=()))
    with pytest.raises(WellbookError, match="postal address"):
        made(TemplateKind.EMAIL, facts)


# -- the language --------------------------------------------------------------------------------


def body(text: str, facts: Facts = RICH) -> str:
    said = render(f"Subject: x\n\n{text}{END}", facts, TemplateKind.LETTER).text
    return said.removesuffix("\n\nThornfield Pump & Well 555-0100\n")


def test_lines_and_paragraphs() -> None:
    """A line of nothing but a tag vanishes; any other line is a line; blank lines part."""
    assert body("a\nb\n \n\n\nc") == "a\nb\n\nc"
    assert body("a\n{% if day %}\nb\n{% endif %}\nc") == "a\nb\nc"
    assert body("a {% if day %}b{% endif %}\nc {# note #}\nd") == "a b\nc\nd"
    assert body("{# a note #}\na\r\nb") == "a\nb"
    assert body("{% for x in tags %}\n{{ x }}\n{% endfor %}\nend") == ("TF-0031\nTF-0032\nend")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{{ day|day }}", "November 25, 2026"),
        ("{{ day|month }}", "November 2026"),
        ("{{ tags|listed }}", "TF-0031 and TF-0032"),
        ("{{ told|length }}", "2"),
        ("{{ 'behind the barn, by the post'|short(17) }}", "behind the barn…"),
        ("{{ place.town|upper }} {{ place.town|lower }}", "NETTLEWICK nettlewick"),
        ("{{ 'mcNab'|capitalize }}", "McNab"),
        ("{{ receiver.name or 'neighbor' }}", "Orla Venterick"),
        ("{{ place.road if place.road else place.town }}", "4 Larkspur Bend"),
        ("{{ 'a ' ~ place.town }}", "a Nettlewick"),
        ("{% for x in told if x.is_water %}{{ x.rule }}{% else %}none{% endfor %}", "water-test"),
        (
            "{% for x in told %}{{ loop.index }}/{{ loop.length }}{% if not loop.last %}, {% endif %}"
            "{% endfor %}",
            "1/2, 2/2",
        ),
        ("{% if place.town == 'Nettlewick' and told|length > 1 %}yes{% endif %}", "yes"),
    ],
)
def test_what_the_language_can(text: str, said: str) -> None:
    assert body(text) == said


def test_several_in_a_row() -> None:
    listed = FILTERS["listed"].run
    assert [listed(tuple("abc"[:n])) for n in range(4)] == ["", "a", "a and b", "a, b and c"]


def test_the_mark_that_some_editors_put_first_is_not_text() -> None:
    check_template("\ufeff" + default_template(TemplateKind.LETTER), TemplateKind.LETTER)


def test_the_engines_are_loaded_only_when_used() -> None:
    code = (
        "import sys; import wellbook.reminders.letters, wellbook.reminders.calendar;"
        "bad = {'jinja2', 'icalendar', 'smtplib'} & set(sys.modules); sys.exit(str(bad) if bad else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
