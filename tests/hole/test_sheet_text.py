"""A sheet written back as text, and a new one to fill in."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe, Pump, Tank
from wellbook.hole.records import Visit
from wellbook.hole.replay import replay
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.hole.sheet_text import plain_tables, prefilled_text, sheet_text
from wellbook.hole.story import Recorded
from wellbook.terms import Basis, Construction, Kind, Reason, Role, WellStatus

TODAY = date(2026, 11, 25)
SET_ON = When.parse("2011 model", said_on=TODAY)


def _component(part: object, basis: Basis = Basis.PAPER_RECORD) -> Component:
    return Component(
        uid=f"u-{part}",
        part=part,  # type: ignore[arg-type]
        set_on=SET_ON,
        basis=basis,
        noted_on=date(2020, 1, 1),
        set_by="root",
        well_uid="w",
    )


def a_hole(*components: Component) -> Hole:
    return Hole(
        uid="w",
        tag="W-1",
        permit_no="",
        role=Role.OURS,
        use="",
        status=WellStatus.IN_USE,
        construction=Construction.DRILLED,
        flowing=None,
        driller="",
        drilled_on=When.unknown(),
        stick_up_ft=None,
        frost_depth_ft=None,
        entered_on=date(2020, 1, 1),
        components=components,
    )


FULL = a_hole(
    _component(Pump(hp=0.5, model_year=SET_ON, maker='A "B"\nC', set_depth_ft=280.0)),
    _component(Pipe(material="polyethylene", nominal_in="1-1/4", from_ft=0.0, to_ft=140.0)),
    _component(Pipe(material="pvc", nominal_in="1-1/4", from_ft=140.0, to_ft=280.0)),
    _component(Cable(awg=12, conductors=3, ground_wire=True), Basis.MEASURED),
    _component(Tank(volume_gal=44.0, made=SET_ON), Basis.CUSTOMER_TOLD),
)

# Any text that can stand in a file: everything but halves of surrogate pairs.
TEXTS = st.text()
SCALARS = st.one_of(
    TEXTS,
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.dates(),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=12,
)


@given(TEXTS)
def test_any_text_comes_back(text: str) -> None:
    document = {"notes": text, "crew": [text], "set": {"pump": {"maker": text}}}
    assert tomllib.loads(sheet_text(document)) == document


@given(TEXTS)
def test_text_holds_no_line_end_but_newlines(text: str) -> None:
    written = sheet_text({"notes": text})
    assert written.splitlines() == written.removesuffix("\n").split("\n")


@given(st.dictionaries(st.one_of(TEXTS, st.just("measured")), VALUES, max_size=4))
def test_any_document_comes_back(document: dict[str, object]) -> None:
    assert tomllib.loads(sheet_text(document)) == document


def test_is_readable() -> None:
    document = {
        "date": "2026-11-25",
        "measured": {"static_level_ft": {"value": 141, "point": "ground"}},
        "set": {"pump": {"hp": 0.5}, "pipe": [{"to_ft": 20}, {"to_ft": 280}]},
        "notes": "first\nsecond",
    }
    assert sheet_text(document) == (
        'date = "2026-11-25"\n'
        'notes = """\nfirst\nsecond"""\n'
        '\n[measured]\nstatic_level_ft = { value = 141, point = "ground" }\n'
        "\n[set.pump]\nhp = 0.5\n"
        "\n[[set.pipe]]\nto_ft = 20\n"
        "\n[[set.pipe]]\nto_ft = 280\n"
    )


@pytest.mark.parametrize("hole", [a_hole(), FULL], ids=["nothing known", "full"])
def test_untouched_it_lacks_only_the_reason(hole: Hole) -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet(plain_tables(prefilled_text(hole, TODAY)), today=TODAY)
    (mistake,) = caught.value.mistakes
    assert mistake.path == ("reason",)
    assert mistake.message.startswith("a visit has a reason")


@pytest.mark.parametrize("hole", [a_hole(), FULL], ids=["nothing known", "full"])
def test_with_a_reason_it_changes_nothing(hole: Hole) -> None:
    text = prefilled_text(hole, TODAY).replace('reason = ""', 'reason = "check up"')
    sheet = read_sheet(plain_tables(text), today=TODAY)
    assert sheet.reason is Reason.CHECK_UP
    assert sheet.start == sheet.end == TODAY
    moved = (*sheet.pulled, *sheet.back, *sheet.set, *sheet.down)
    assert (moved, sheet.found, sheet.measured, sheet.samples, sheet.bore) == ((),) * 5


def uncommented(text: str, start: str) -> str:
    """One # taken away from every line below a block's heading, explanations and all."""
    above, below = text.split(start, 1)
    lines = [line.removeprefix("# ") for line in (start + below).splitlines()]
    return above + "\n".join(lines)


def test_blocks_say_what_is_known_once_the_sign_is_gone() -> None:
    text = prefilled_text(FULL, TODAY).replace('reason = ""', 'reason = "check up"')
    sheet = read_sheet(plain_tables(uncommented(text, "## pipe, set")), today=TODAY)
    said = {p.kind: p for p in (*sheet.back, *sheet.down)}
    assert said[Kind.PUMP].values == {
        "hp": 0.5,
        "model_year": SET_ON,
        "maker": 'A "B"\nC',
        "set_depth_ft": 280.0,
    }
    assert said[Kind.CABLE].basis is Basis.MEASURED
    assert said[Kind.TANK].basis is Basis.CUSTOMER_TOLD
    assert [p.values["to_ft"] for p in sheet.back if p.kind is Kind.PIPE] == [140.0, 280.0]


def test_a_block_left_as_it_is_makes_nothing_better_known() -> None:
    """What was told stays told, though the block went back in a sheet of measured things."""
    opening = {"date": "2020-01-01", "down": {"pump": {"hp": 0.5, "basis": "customer told"}}}
    from wellbook.terms import SheetKind

    first = Recorded("r1", "w", read_sheet(opening, today=TODAY, kind=SheetKind.OPENING))
    (pump,) = replay([first]).components
    text = prefilled_text(a_hole(pump), TODAY).replace('reason = ""', 'reason = "other"')
    sheet = read_sheet(plain_tables(uncommented(text, "## pump")), today=TODAY)
    assert sheet.back
    (after,) = replay([first, Recorded("r2", "w", sheet, 1)]).components
    assert after == pump


def test_fits_a_page_or_two() -> None:
    lines = prefilled_text(FULL, TODAY).splitlines()
    assert len(lines) < 130
    assert max(len(line) for line in lines if line.startswith("##")) < 80
    assert "save and close to go on; empty the file to give up" in lines[1]


def test_what_is_in_store_is_offered_to_go_back() -> None:
    opened = {"date": "2015-06-01", "reason": "opening up", "set": {"pump": {"serial": "A77"}}}
    closed = {"date": "2025-10-12", "reason": "closing down", "pulled": {"pump": {}}}
    said = [
        Recorded(uid, "w", read_sheet(data, today=TODAY), n)
        for n, (uid, data) in enumerate((("r1", opened), ("r2", closed)))
    ]
    (pump,) = replay(said).components
    hole = replace(a_hole(pump), visits=(_visit("r1", said[0]), _visit("r2", said[1])))
    text = prefilled_text(hole, TODAY)
    assert "## pump, set 2015-06-01, in store since 2025-10-12" in text
    text = text.replace('reason = ""', 'reason = "opening up"')
    sheet = read_sheet(plain_tables(uncommented(text, "## pump")), today=TODAY)
    assert [(p.kind, p.values["serial"]) for p in sheet.back] == [(Kind.PUMP, "A77")]


def _visit(uid: str, one: Recorded) -> Visit:
    sheet = one.sheet
    flags = (sheet.left_without_pump, "", "", sheet.opened, sheet.disinfected)
    return Visit(uid, sheet.kind, sheet.start, sheet.end, sheet.reason, (), *flags)


def test_the_topmost_of_several_sections_is_named_and_its_block_left_alone_cuts_no_others() -> None:
    upper = replace(_component(Pipe(material="pvc", to_ft=140.0)), uid="u")
    lower = replace(_component(Pipe(material="pvc", from_ft=140.0, to_ft=280.0)), uid="l")
    text = prefilled_text(a_hole(lower, upper), TODAY)
    block = text[text.index("# [[back.pipe]]") :].split("\n\n", maxsplit=1)[0]
    assert "# from_ft = 0\n" in block
    assert "from_ft" not in prefilled_text(a_hole(upper), TODAY).split("[[back.pipe]]")[1]
