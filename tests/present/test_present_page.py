"""What the page of a well says, and that it fits the screen that it is for."""

from __future__ import annotations

import io
import os
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from present_holes import (
    CHECKED,
    SET,
    TODAY,
    component,
    dug,
    finding,
    flowing,
    level,
    rich,
    said,
    seen,
    thin,
    visit,
)
from rich.text import Text

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.facts import OVER_THE_SCALE
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Cap, CheckValve, Pipe, Pump
from wellbook.hole.records import Inspection, Interval, Occupant
from wellbook.present import screen
from wellbook.present.finding_lines import since_words
from wellbook.present.history import build_history
from wellbook.present.json_page import page_json
from wellbook.present.page import build_page
from wellbook.present.page_screen import render_page
from wellbook.present.screen import print_lines
from wellbook.rules import catalogue
from wellbook.rules.finding import Finding, Settings
from wellbook.terms import (
    Basis,
    Cause,
    IntervalKind,
    LevelState,
    PumpType,
    Quantity,
    Reason,
    Severity,
    WellStatus,
)

WELLS = {
    "rich": rich,
    "thin": thin,
    "dug": dug,
    "flowing": flowing,
    "flowing, no height": lambda: flowing(None),
}
MANY = [finding(s, n) for s in Severity for n in range(5)]


def shown(hole: Hole, findings: list[Finding] | None = None, width: int = 100, **more) -> list[str]:
    page = build_page(hole, findings or [], TODAY, **more)
    return [line.plain for line in render_page(page, width=width)]


def text_of(hole: Hole, findings: list[Finding] | None = None, **more) -> str:
    """The page as running text, so that a test does not depend on where a line wraps."""
    page = build_page(hole, findings or [], TODAY, **more)
    rows = render_page(page, draw=lambda _height: [], width=400)
    return "\n".join(" ".join(row.plain.split()) for row in rows)


def judged(hole: Hole) -> list[Finding]:
    return [f for f in catalogue.judge(hole, Settings()) if f.holds(TODAY)]


@pytest.mark.parametrize("width", [100, 84, 80, 60])
@pytest.mark.parametrize("name", WELLS)
def test_no_line_is_wider_than_asked(name: str, width: int) -> None:
    hole = WELLS[name]()
    page = build_page(hole, [*MANY, *judged(hole)], TODAY)
    assert max(line.cell_len for line in render_page(page, width=width)) <= width


def test_a_long_word_and_wide_signs_stay_within_the_width() -> None:
    hole = replace(
        rich(), notes="x" * 400, occupants=(Occupant("c", "水" * 90, When.unknown(), None, ()),)
    )
    long = finding(Severity.ACT, reason="y" * 500)
    page = build_page(hole, [long], TODAY)
    assert max(line.cell_len for line in render_page(page)) <= 100


def test_a_well_with_much_wrong_fits_about_one_screen() -> None:
    assert len(shown(rich(), judged(rich()))) <= 66


def test_square_brackets_are_never_markup() -> None:
    hole = replace(rich(), notes="[red]x[/red] [/] [link=a]")
    assert "[red]x[/red] [/] [link=a]" in text_of(hole)
    page = build_page(hole, [finding(Severity.ACT, reason="[bold]y[/bold]")], TODAY)
    out = io.StringIO()
    out.isatty = lambda: True  # type: ignore[method-assign]
    print_lines(render_page(page), out)
    assert "[red]x[/red]" in out.getvalue()
    assert "[bold]y[/bold]" in out.getvalue()


def test_control_characters_of_the_user_reach_no_screen() -> None:
    nasty = "a\x1b[2Jb\x07c\nd\u202ee\x9b31mf"
    hole = replace(
        rich(),
        tag=nasty,
        notes=nasty,
        visits=(visit("v", CHECKED, Reason.CHECK_UP, notes=nasty, crew=(nasty,)),),
    )
    page = build_page(hole, [finding(Severity.ACT, reason=nasty, action=nasty)], TODAY)
    text = "\n".join(line.plain for line in render_page(page))
    assert not set(text) & set("\x1b\x07\u202e\x9b")
    assert "abc def" in text


def test_every_fact_has_its_mark_and_date() -> None:
    lines = shown(rich())
    assert any(line.startswith("depth") and "◐ 2004-05-20" in line for line in lines)
    assert any(line.startswith("pumping") and "● 2026-05-14" in line for line in lines)


def test_what_is_only_known_by_a_day_says_so_alike_everywhere() -> None:
    by = When.between(None, CHECKED)
    depth = replace(
        seen("a", Quantity.DEPTH_FT, 310, CHECKED, Basis.PAPER_RECORD), when=by, sheet_uid="o"
    )
    low = replace(seen("b", Quantity.YIELD_GPM, 2, CHECKED, Basis.PAPER_RECORD), when=by)
    pump = component(
        "p", Pump(rated_gpm=7, set_depth_ft=200), basis=Basis.PAPER_RECORD, noted_on=CHECKED
    )
    hole = thin(observations=(depth, low), components=(pump,))
    text = text_of(hole, judged(hole))
    assert "depth 310 ft ◐ by 2026-05-14" in text
    assert "at 200 ft; set 2019-06-03, 7 years down ◐ by 2026-05-14" in text
    assert "gives 2 gpm (paper record, by 2026-05-14)" in text
    shape = page_json(hole, [], TODAY)
    as_of = {"earliest": None, "latest": "2026-05-14", "text": "by 2026-05-14"}
    assert shape["bore"]["depth"]["as_of"] == as_of
    assert shape["string"][0]["facts"]["rated_gpm"]["as_of"] == as_of


def test_a_told_level_stands_with_the_last_measured_one_beside_it() -> None:
    text = text_of(rich())
    assert "150 ft, point not noted, measured 141 ft below casing top (● 2026-05-14)" in text


def test_drawdown_is_worked_out_from_measured_levels_only() -> None:
    # 8 gpm over 228 - 141 ft; a told level since then says nothing of the drawdown.
    assert "0.092 gpm a foot" in text_of(rich())


def test_water_over_the_pump_is_in_feet_and_gallons() -> None:
    # 260 - 150 = 110 ft of 6 in bore at 1.469 gal a foot; it rests on what was only told.
    assert "110 ft of water over the pump, about 162 gal ○" in text_of(rich())


def with_levels(*levels, **more) -> Hole:
    """A pump at 240 ft, and these levels."""
    pump = component("p", Pump(type=PumpType.SUBMERSIBLE, hp=1, set_depth_ft=240))
    return thin(components=(pump,), observations=levels, **more)


def test_a_dry_reading_ends_what_older_levels_said_of_the_water() -> None:
    old = level("a", 98, date(2015, 5, 5), LevelState.STATIC)
    dry = level("b", None, date(2018, 6, 3), LevelState.DRY)
    text = text_of(with_levels(old, dry))
    assert "stands dry when last read: no water over the pump ● 2018-06-03" in text
    assert "ft of water over the pump" not in text
    again = level("c", 120, date(2020, 1, 2), LevelState.STATIC)
    assert "stands 120 ft of water over the pump ● 2020-01-02" in text_of(
        with_levels(old, dry, again)
    )


def test_no_water_stands_over_a_pump_that_is_in_store() -> None:
    still = level("a", 98, date(2015, 5, 5), LevelState.STATIC)
    closed = visit("v", CHECKED, Reason.CLOSING_DOWN, left_without_pump=True)
    lines = shown(with_levels(still, visits=(closed,)))
    assert not any(line.startswith("stands") or line.endswith("pump ●") for line in lines)


def test_a_pumping_level_is_no_level_at_rest() -> None:
    still = level("a", 98, date(2015, 5, 5), LevelState.STATIC)
    pumping = level("b", 200, date(2018, 6, 3), LevelState.PUMPING)
    assert "stands 142 ft of water over the pump ● 2015-05-05" in text_of(
        with_levels(still, pumping)
    )
    assert "stands" not in text_of(with_levels(pumping))


def test_what_a_well_gave_before_it_was_fractured_stands_beside_what_it_gives() -> None:
    hole = thin(
        observations=(
            seen("a", Quantity.YIELD_GPM, 0.4, date(2015, 6, 9)),
            seen("b", Quantity.YIELD_GPM, 3.2, date(2015, 6, 16), sheet_uid="v"),
        ),
        visits=(visit("v", date(2015, 6, 16), Reason.HYDROFRACTURING),),
    )
    assert (
        "yield 3.2 gpm, 0.4 gpm before the hydrofracturing of 2015-06-16 (● 2015-06-09)"
        in text_of(hole)
    )


@pytest.mark.parametrize("work", [Reason.DEEPENING, Reason.CLEANING_OUT])
def test_a_bottom_that_was_worked_on_is_shown_as_it_was_until_it_is_sounded(work: Reason) -> None:
    done = visit("v", date(2020, 6, 1), work)
    hole = thin(
        stick_up_ft=1.5,
        observations=(seen("a", Quantity.DEPTH_FT, 428, date(1999, 8, 2), Basis.DRILLERS_LOG),),
        visits=(done,),
    )
    said = f"428 ft before the {work.label} of 2020-06-01, not known since; casing top 1.5 ft above"
    assert f"depth {said} ◐ 1999-08-02" in text_of(hole)
    assert "the hole: drilled, driven or dug?" in text_of(hole)
    assert "how deep?" in text_of(hole)
    before = page_json(hole, [], TODAY)["bore"]["before_work"]["depth_ft"]
    assert (before["value"], before["basis"], before["work"]) == (428, "drillers_log", work.value)
    assert before["work_on"] == "2020-06-01"
    sounded = seen("b", Quantity.DEPTH_FT, 505, date(2021, 3, 4))
    again = replace(hole, observations=(*hole.observations, sounded))
    assert "depth 505 ft; casing top 1.5 ft above ● 2021-03-04" in text_of(again)
    assert "how deep?" not in text_of(again)


def test_a_winding_is_shown_without_its_cable() -> None:
    # ASTM: #12 is 0.311 ohm per 100 ft there and back at 50 F, so 0.94 over 300 ft.
    pump = component("p", Pump(type=PumpType.SUBMERSIBLE, hp=1, set_depth_ft=300))
    cable = component("c", Cable(awg=12, from_ft=0, to_ft=300))

    def electric(ohm: float, *parts: Component) -> str:
        read = seen("w1", Quantity.WINDING_OHM, ohm, CHECKED)
        return text_of(replace(thin(observations=(read,)), components=parts))

    assert "winding 2.5 ohm, 1.56 ohm without its cable's 0.94 ohm" in electric(2.5, pump, cable)
    assert "0.5 ohm, less than its cable's 0.94 ohm" in electric(0.5, pump, cable)
    # Of what cable it was read through nobody wrote: the reading stands alone.
    assert "without its cable" not in electric(2.5, pump)


def test_a_needle_past_the_last_mark_is_over_it() -> None:
    over = seen("a", Quantity.INSULATION_MEGOHM, 500, CHECKED, method=f"{OVER_THE_SCALE}; 500 V")
    told = seen("b", Quantity.INSULATION_MEGOHM, 100, TODAY, Basis.CUSTOMER_TOLD)
    assert "electric insulation over 500 megohm ●" in text_of(thin(observations=(over,)))
    both = thin(observations=(over, told))
    assert "insulation 100 megohm, measured over 500 megohm (● 2026-05-14)" in text_of(both)
    shape = page_json(thin(observations=(over,)), [], TODAY)["readings"]["insulation_megohm"]
    assert (shape["value"], shape["at_least"], shape["method"]) == (500, True, "500 V")
    history = " ".join(e.text for e in build_history(thin(observations=(over,))))
    assert history == "insulation over 500 megohm, 500 V (●)"


def test_a_fractured_zone_bears_its_pressure_and_its_water() -> None:
    zone = Interval(
        "i", IntervalKind.FRACTURED, 180, 290, None, "", Basis.MEASURED, When.on(CHECKED), "v"
    )
    zone = replace(zone, pressure_psi=2400, volume_gal=1300)
    hole = thin(intervals=(zone,), visits=(visit("v", CHECKED, Reason.HYDROFRACTURING),))
    said = "fractured 180 to 290 ft at 2,400 psi with 1,300 gal"
    assert f"below {said} ●" in text_of(hole)
    assert ("bore", said) in build_history(hole)[0].details
    (shape,) = page_json(hole, [], TODAY)["bore"]["intervals"]
    assert (shape["pressure_psi"], shape["volume_gal"]) == (2400, 1300)


def test_a_page_of_a_day_before_the_well_was_made_says_so_and_no_more() -> None:
    hole = replace(rich(), drilled_on=said("2004-05"))
    day = date(1990, 6, 1)
    before = build_page(hole.on(day), judged(hole.on(day)), day)
    text = "\n".join(line.plain for line in render_page(before))
    assert "not drilled yet (drilled 2004-05)" in text
    assert "TO PULL  nothing: not drilled yet" in text
    for absent in ("casing", "pump", "?", "bottom", "→", "mind"):
        assert absent not in text.split("THE BORE")[1]
    shape = page_json(hole.on(day), judged(hole.on(day)), day)
    assert not any(shape[name] for name in ("string", "findings", "questions"))
    assert shape["load"]["cautions"] == []
    # In the month in which it may have been made, it may be there.
    assert "not drilled yet" not in text_of(replace(hole, drilled_on=said("2026-11")))


def test_a_sealed_well_is_asked_nothing() -> None:
    text = text_of(thin(status=WellStatus.SEALED))
    assert "ASK nothing" in text
    assert "THE STRING" not in text


def test_of_a_flowing_well_without_a_pump_no_pump_is_described_in_questions() -> None:
    text = text_of(flowing())
    assert "the pump: is there one in it, though it flows?" in text
    for asked in ("horsepower", "what pipe?", "what cable", "what tank", "switch", "how far down"):
        assert asked not in text
    assert "unknown pump: nothing on record" in text
    pumped = replace(flowing(), components=(component("p", Pump(hp=1)),))
    assert "what pipe?" in text_of(pumped)
    assert "though it flows" not in text_of(pumped)


def test_a_switch_that_still_stands_as_it_was_set_is_said_once() -> None:
    def at(on: date, psi: float) -> str:
        return text_of(replace(rich(), observations=(seen("x", Quantity.CUT_OUT_PSI, psi, on),)))

    assert "cut out" not in at(SET, 60)
    # Seen again since, or standing elsewhere: that is more than the switch's own line says.
    assert "cut out 60 psi" in at(CHECKED, 60)
    assert "cut out 50 psi" in at(SET, 50)


def test_what_was_read_of_a_pump_that_is_gone_is_not_said_of_the_next_one() -> None:
    before = date(2018, 1, 2)
    old = (
        seen("a", Quantity.INSULATION_MEGOHM, 0.1, before),
        seen("b", Quantity.FLOW_GPM, 3, before),
        seen("c", Quantity.SUPPLY_V, 236, before),
    )
    pumped = thin(observations=old, components=(component("p", Pump(hp=1)),))
    assert "electric 236 V ● 2018-01-02" in text_of(pumped)
    assert "megohm" not in text_of(pumped)
    assert "flow 3" not in text_of(pumped)
    readings = page_json(pumped, [], TODAY)["readings"]
    assert list(readings) == ["supply_v"]
    same_day = replace(pumped, observations=(seen("a", Quantity.INSULATION_MEGOHM, 90, SET),))
    assert "insulation 90 megohm ●" in text_of(same_day)
    # Read at the visit that changed it, it may be of either.
    old_pump = component("o", Pump(hp=1), set_on=said("2005"), pulled_on=When.on(SET))
    changed = replace(same_day, components=(old_pump, *same_day.components))
    assert "insulation 90 megohm when the pump was changed ●" in text_of(changed)


def test_short_lines_that_rest_on_the_same_share_a_row() -> None:
    parts = (component("a", Cap(type="bolted")), component("b", CheckValve("brass", 90)))
    assert "cap bolted · check: brass at 90 ft ● 2019-06-03" in text_of(thin(components=parts))
    other = (parts[0], component("b", CheckValve("brass", 90), basis=Basis.CUSTOMER_TOLD))
    assert "·" not in text_of(thin(components=other)).split("THE STRING")[1].split("unknown")[0]


def test_a_field_with_another_basis_carries_its_own_mark() -> None:
    assert "10 gpm (◐ 2019-06-03)" in text_of(rich())


def test_the_string_is_listed_from_the_top_whatever_the_order_of_entry() -> None:
    text = text_of(rich())
    assert text.index("0 to 180 ft") < text.index("180 to 260 ft")


def test_ratings_recorded_and_worked_out_are_told_apart() -> None:
    pipes = (
        component("a", Pipe("pe4710", "1", "SIDR 7", 250, 0, 100)),
        component("b", Pipe("pe4710", "1", "SIDR 9", None, 100, 200)),
        component("c", Pipe("mystery", "1", None, None, 200, 300)),
        component("d", Pipe("pvc", "0", "sch 40", None, 300, 400)),
    )
    text = text_of(thin(components=pipes))
    assert "SIDR 7, 250 psi, 0 to 100 ft" in text
    assert "200 psi worked out" in text
    assert text.count("rating unknown") == 2


def test_age_of_a_cable_is_a_range_as_uncertain_as_its_date() -> None:
    made = When.parse("10-12 years old", said_on=date(2023, 11, 25))
    cable = component("c", Cable(awg=12, made=made))
    text = text_of(thin(components=(cable,)))
    assert '13 to 15 years old, new "10-12 years old" (said 2023-11-25)' in text
    assert "never inspected" in text


def test_splices_and_rubs_counted_on_different_days_each_show_their_day() -> None:
    cable = component("c", Cable(awg=12))
    counts = (
        Inspection("1", "c", SET, 2, None, 0, "v1"),
        Inspection("2", "c", CHECKED, None, 3, 0, "v2"),
    )
    text = text_of(thin(components=(cable,), inspections=counts))
    assert "2 splices (2019-06-03), 3 rubs (2026-05-14)" in text


def test_a_well_without_its_pump_says_so_and_why() -> None:
    out = component(
        "p",
        Pump(hp=1),
        pulled_on=When.on(CHECKED),
        pulled_by="v2",
        why_pulled="burnt out",
        cause=Cause.DRY_RUN,
    )
    assert "NONE IN THE WELL: pulled 2026-05-14 (burnt out; dry run)" in text_of(
        thin(components=(out,))
    )


def test_findings_stand_worst_first_with_occasion_reason_and_action() -> None:
    other = finding(Severity.WATCH, action="look at it")
    text = text_of(thin(), [other, finding(Severity.ACT)])
    assert text.index("act next pull reason of act") < text.index("watch next pull")
    assert text.index("→ load a new cable") < text.index("→ look at it")


def test_reasons_to_do_one_thing_stand_together_under_the_worst() -> None:
    text = text_of(thin(), [finding(Severity.PLAN), finding(Severity.ACT)])
    assert text.index("act next pull reason of act") < text.index("· reason of plan")
    assert text.count("→ load a new cable") == 1


@pytest.mark.parametrize(
    ("may", "surely", "said"),
    [
        (date(2021, 6, 3), date(2026, 11, 25), ""),
        (date(2026, 11, 26), date(2026, 11, 26), "from 2026-11-26"),
        (
            date(2021, 6, 3),
            date(2026, 11, 26),
            "possible since 2021-06-03, sure from 2026-11-26",
        ),
        (date(2027, 1, 1), None, "possible from 2027-01-01"),
        (None, date(2027, 1, 1), "possible for as long as is known, sure from 2027-01-01"),
    ],
)
def test_only_what_is_not_sure_yet_says_since_when(
    may: date | None, surely: date | None, said: str
) -> None:
    held = finding(Severity.ACT, may_from=may, surely_from=surely)
    assert since_words(held, TODAY) == said


def test_long_findings_wrap_under_their_first_line_and_are_never_cut() -> None:
    lines = shown(thin(), [finding(Severity.ACT)])
    at = next(n for n, line in enumerate(lines) if line.startswith("act"))
    assert lines[at + 1].startswith(" " * 6 + "which hangs")
    assert "…" not in lines[at] + lines[at + 1]


@pytest.mark.parametrize("key", ["rule-act", "rule:cable:act0"])
def test_a_silenced_finding_is_named_with_its_reason_and_not_listed(key: str) -> None:
    text = text_of(thin(), [finding(Severity.ACT)], silenced={key: "owner knows"})
    assert f"{key}: silenced here, owner knows" in text
    assert "reason of act" not in text


def test_what_nobody_knows_is_asked() -> None:
    text = text_of(thin())
    for asked in ("how deep?", "drilled, driven or dug?", "what horsepower?", "water tested when"):
        assert asked in text


def test_what_is_known_is_not_asked() -> None:
    text = text_of(rich())
    for asked in ("how deep?", "what horsepower?", "water tested when", "where is the well head?"):
        assert asked not in text


def test_a_gap_is_asked_once_though_a_rule_asks_for_it_too() -> None:
    hole = thin()
    text = text_of(hole, judged(hole))
    assert "no pump on record" not in text
    assert text.count("when the water was last tested") == 1
    assert "water tested when" not in text


def test_a_hand_pump_is_asked_no_electrical_questions() -> None:
    text = text_of(dug())
    for asked in ("horsepower", "two-wire", "what cable", "power off"):
        assert asked not in text


def test_the_last_visits_and_calls_are_one_line_each() -> None:
    lines = shown(rich())
    at = next(n for n, line in enumerate(lines) if line.startswith("LAST"))
    assert "2026-11-20 call from Wren" in lines[at]
    assert lines[at + 1].strip().startswith("2026-05-14 check up")


def test_to_pull_names_length_joints_weight_and_dangers() -> None:
    text = text_of(rich())
    assert "TO PULL 260 ft of pipe, 9 x 20 ft, 4 x 20 ft; at most" in text
    assert "never lift by the cable" in text
    assert "29 CFR 1926.1408" in text


def test_pcb_is_named_for_an_old_pump_only() -> None:
    def with_pump(text: str) -> Hole:
        return thin(components=(component("p", Pump(hp=1, set_depth_ft=100), set_on=said(text)),))

    assert "pump from before 1979: oil" in text_of(with_pump("1971"))
    assert "if the pump is from before 1979" in text_of(with_pump("before 1990"))
    assert "PCB" not in text_of(with_pump("1985"))


def test_a_level_without_a_state_is_shown_as_such() -> None:
    hole = thin(observations=(level("o", 88, CHECKED, None),))
    assert "88 ft, point not noted" in text_of(hole)


@pytest.mark.parametrize("state", list(LevelState))
def test_every_state_of_a_level_is_shown_with_and_without_a_value(state: LevelState) -> None:
    for value in (120.0, None):
        hole = thin(observations=(level("o", value, CHECKED, state),))
        if value is not None:
            assert "120 ft" in text_of(hole)
        assert shown(hole)


def test_absurd_numbers_still_give_a_page() -> None:
    hole = thin(
        observations=(
            seen("d", Quantity.DEPTH_FT, 0, CHECKED),
            level("l", 1e6, CHECKED, LevelState.STATIC),
        ),
        components=(
            component("p", Pump(hp=0, set_depth_ft=1e7)),
            component("x", Pipe(None, "0", "sch 40", -1, 90, 10, 0)),
            component("v", CheckValve(depth_ft=0)),
            component("c", Cable(awg=0, from_ft=50, to_ft=20)),
        ),
    )
    assert max(map(len, shown(hole))) <= 100


def test_a_pipe_gets_whole_plain_lines() -> None:
    out = io.StringIO()
    print_lines([Text("x" * 300, style="red")], out)
    assert out.getvalue() == "x" * 300 + "\n"


def test_an_old_code_page_gets_ascii_instead_of_a_crash() -> None:
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding="cp1252")
    print_lines(render_page(build_page(rich(), judged(rich()), TODAY)), out)
    out.flush()
    text = raw.getvalue().decode("cp1252")
    assert "* measured" in text
    assert "260 : # :" in text


def test_no_color_is_honoured(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.StringIO()
    out.isatty = lambda: True  # type: ignore[method-assign]
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", "1")
    print_lines([Text("act", style="red")], out)
    assert "\x1b[31m" not in out.getvalue()


def test_a_narrow_terminal_gets_the_picture_under_the_string() -> None:
    lines = shown(rich(), width=70)
    at = next(n for n, line in enumerate(lines) if line.startswith("below ground"))
    assert lines[at + 1].endswith("casing top")
    assert screen.terminal_width(io.StringIO()) == 100


def test_basis_marks_are_explained_on_the_page() -> None:
    text = text_of(thin())
    for basis in Basis:
        assert basis.mark in text


def test_page_of_the_rich_well_as_pinned() -> None:
    """Regression only: the whole page as it was last looked at. WELLBOOK_RENEW=1 renews it."""
    text = "\n".join(shown(rich(), [finding(Severity.ACT), *judged(rich())])) + "\n"
    kept = Path(__file__).parent / "snapshots" / "rich_page.txt"
    if os.environ.get("WELLBOOK_RENEW"):
        kept.write_text(text, encoding="utf-8")
    assert text == kept.read_text(encoding="utf-8")
