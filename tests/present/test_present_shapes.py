"""The shapes that other programs read, and the small helpers beside the page."""

from __future__ import annotations

import json
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from present_holes import CHECKED, FOUND, SET, TODAY, component, finding, level, rich, seen, thin
from rich.cells import cell_len
from rich.text import Text

from wellbook.dates import When
from wellbook.hole.component import Claim
from wellbook.hole.parts import Pump
from wellbook.hole.records import Interval, Sample
from wellbook.present.envelope import envelope, error_json
from wellbook.present.history import (
    build_history,
    render_history,
    render_versions,
)
from wellbook.present.json_history import history_json
from wellbook.present.json_page import page_json
from wellbook.present.json_shapes import due_json
from wellbook.present.tables import table
from wellbook.present.text import clean, one_line, to_ascii, wrap
from wellbook.store.past_sheets import SheetVersion
from wellbook.terms import (
    Bacteria,
    Basis,
    IntervalKind,
    LevelState,
    Quantity,
    Reason,
    Severity,
    SheetKind,
    SheetStatus,
)

W = When.on(CHECKED)
FACT = {"value", "unit", "basis", "as_of"}


def test_keys_of_a_due_item() -> None:
    item = due_json("LV-1", finding(Severity.ACT, surely_from=None, numbers={"splices": 5}))
    assert list(item) == [
        "well", "rule", "subject", "occurrence", "may_from", "surely_from", "severity",
        "occasion", "reason", "action", "source", "numbers", "to_customer",
    ]  # fmt: skip
    assert item["may_from"] == "2021-06-03"
    assert item["surely_from"] is None
    assert (item["severity"], item["occasion"]) == ("act", "next_pull")
    assert item["numbers"] == {"splices": 5}


def test_keys_of_an_answer_and_of_an_error() -> None:
    assert envelope("a", 2, x=1) == {"schema": {"name": "a", "version": 2}, "x": 1}
    shape = error_json("not_found", "no such well", "WELL")
    assert shape["error"] == {"code": "not_found", "message": "no such well", "where": "WELL"}


def test_keys_of_the_page() -> None:
    shape = page_json(rich(), [finding(Severity.ACT)], TODAY)
    assert shape["schema"] == {"name": "wellbook.hole", "version": 1}
    assert set(shape) == {
        "schema", "day", "well", "customers", "bore", "string", "levels", "readings", "samples",
        "findings", "silenced", "questions", "visits", "files", "load", "in_store", "sealed_in",
    }  # fmt: skip
    pump = next(c for c in shape["string"] if c["kind"] == "pump")
    assert set(pump) == {
        "kind", "uid", "basis", "noted_on", "set_on", "set_on_basis", "pulled_on", "why_pulled",
        "cause", "absences", "facts", "told_otherwise",
    }  # fmt: skip
    assert pump["facts"]["hp"] == {
        "value": 1,
        "unit": "hp",
        "basis": "measured",
        "as_of": {"earliest": "2019-06-03", "latest": "2019-06-03", "text": "2019-06-03"},
    }
    assert pump["facts"]["rated_gpm"]["basis"] == "nameplate"
    assert pump["facts"]["model_year"]["value"]["text"] == "2018 model"
    assert set(shape["levels"]["pumping"]) == FACT | {"point", "state", "below_ground_ft"}
    assert shape["levels"]["static"]["basis"] == "customer_told"
    assert shape["levels"]["pumping"]["below_ground_ft"] == 226.5
    assert shape["load"]["string_ft"] == 260
    assert all(set(q) == {"key", "topic", "text"} for q in shape["questions"])


def test_only_what_is_down_is_in_the_string_and_the_string_is_top_down() -> None:
    shape = page_json(rich(), [], TODAY)
    pipes = [c["facts"]["to_ft"]["value"] for c in shape["string"] if c["kind"] == "pipe"]
    assert pipes == [180, 260]
    assert [c["uid"] for c in shape["string"] if c["kind"] == "pump"] == ["pump"]


def test_pages_can_be_written_as_json() -> None:
    for hole in (rich(), thin()):
        assert json.loads(json.dumps(page_json(hole, [finding(Severity.ASK)], TODAY)))
        assert json.loads(json.dumps(history_json(hole, build_history(hole))))


def test_silenced_findings_stand_apart() -> None:
    shape = page_json(thin(), [finding(Severity.ACT)], TODAY, silenced={"rule-act": "knows"})
    assert shape["findings"] == []
    assert shape["silenced"] == [{"what": "rule-act", "why": "knows"}]


def test_history_has_every_sheet_and_part_newest_first() -> None:
    hole = rich()
    entries = build_history(hole)
    assert [e.day for e in entries] == sorted((e.day for e in entries), reverse=True)
    assert sum(e.what == "sheet" for e in entries) == len(hole.visits)
    assert {e.component.uid for e in entries if e.what == "set" and e.component} == {
        c.uid for c in hole.components
    }
    pulled = next(e for e in entries if e.what == "pulled")
    assert "windings shorted; cause: lightning" in pulled.text
    assert "set about 2006" in pulled.text


def test_history_says_what_each_sheet_found_measured_and_sampled() -> None:
    hole = replace(
        rich(),
        observations=(
            seen("a", Quantity.YIELD_GPM, 8, CHECKED, sheet_uid="v2"),
            seen("b", Quantity.YIELD_GPM, 1, SET, sheet_uid="v2"),
            level("c", 141, CHECKED, LevelState.STATIC, sheet_uid="v2", basis=Basis.ESTIMATED),
            seen("d", Quantity.DEPTH_FT, 310, CHECKED, Basis.DRILLERS_LOG),
        ),
        samples=(
            Sample("s", When.on(CHECKED), Bacteria.ABSENT, "Tidewater", "", "v2", results=FOUND),
        ),
        intervals=(
            Interval("i", IntervalKind.FRACTURED, 180, 290, None, "", Basis.MEASURED, W, "v2"),
        ),
    )
    text = "\n".join(line.plain for line in render_history(hole, build_history(hole), 200))
    assert "2026-05-14     no. 3, check up by Ida and Ben; left for next time: new tank" in text
    assert "measured yield 8 gpm; yield 1 gpm (2019-06-03); static 141 ft (○)" in text
    assert "bore fractured 180 to 290 ft" in text
    assert "sampled bacteria absent, nitrate 2.1 mg/L, Tidewater" in text
    # A reading without a sheet stands by itself.
    assert "2026-05-14     noted: depth 310 ft (◐)" in text


def test_history_says_what_a_caller_told_of_a_part_and_whether_it_counts() -> None:
    claims = (
        Claim("hp", 1.5, Basis.CUSTOMER_TOLD, CHECKED, False, "c1"),
        Claim("set_depth_ft", 240.0, Basis.CUSTOMER_TOLD, CHECKED, True, "c1"),
    )
    hole = replace(rich(), components=(component("p", Pump(set_depth_ft=240), claims=claims),))
    text = "\n".join(line.plain for line in render_history(hole, build_history(hole), 200))
    assert "told pump: at 240 ft; less sure than what is on record: 1-1/2 hp" in text


def version(number: int, status: SheetStatus, root: str = "v2", **more: object) -> SheetVersion:
    values: dict[str, object] = {
        "kind": SheetKind.VISIT,
        "start": CHECKED,
        "reason": Reason.CHECK_UP,
        "document": {"reason": "check up", "measured": {"flow_gpm": number}},
        "recorded_on": CHECKED,
        "recorded_by": "Ben",
        **more,
    }
    return SheetVersion(number=number, root_uid=root, status=status, **values)  # type: ignore[arg-type]


def test_history_names_what_was_corrected_and_withdrawn_by_whom_and_why() -> None:
    gone = {"ended_on": TODAY, "ended_by": "Ida", "why": "slip of the pen"}
    versions = [
        version(1, SheetStatus.SUPERSEDED, **gone),
        version(3, SheetStatus.VALID),
        version(5, SheetStatus.WITHDRAWN, "other", **gone),
    ]
    entries = build_history(rich(), versions)
    text = "\n".join(line.plain for line in render_history(rich(), entries))
    assert "corrects no. 1 of 2026-05-14, 2026-11-25 by Ida: slip of the pen" in text
    assert "no. 5, check up, WITHDRAWN 2026-11-25 by Ida: slip of the pen" in text
    shape = history_json(rich(), entries, versions)
    assert [s["status"] for s in shape["sheets"]] == ["superseded", "valid", "withdrawn"]
    assert shape["sheets"][0]["document"]["measured"] == {"flow_gpm": 1}


def test_a_sheet_is_read_as_it_was_written_with_what_it_replaced() -> None:
    gone = {"ended_on": TODAY, "ended_by": "Ida", "why": "slip"}
    versions = [version(1, SheetStatus.SUPERSEDED, **gone), version(3, SheetStatus.VALID)]
    text = "\n".join(line.plain for line in render_versions(rich(), versions))
    assert text.index("flow_gpm = 3") < text.index("flow_gpm = 1")
    assert "no. 1, visit, entered 2026-05-14 by Ben; corrected 2026-11-25 by Ida: slip" in text


def test_history_renders_what_was_found_within_the_width() -> None:
    hole = replace(rich(), notes="x" * 300)
    lines = render_history(hole, build_history(hole))
    text = "\n".join(line.plain for line in lines)
    assert max(line.cell_len for line in lines) <= 100
    assert "found 1 x splice (cable) at 120 ft: taped, [sound]" in text
    assert "207-555-0190" in text
    # A part's entry says what it was when it was set: no age, and nothing that was counted later.
    assert "set pump: submersible, 3/4 hp, at 240 ft\n" in text


def test_a_part_of_unknown_date_comes_last_in_the_history() -> None:
    parts = (component("p", Pump(), set_on=When.unknown()), component("q", Pump()))
    entries = build_history(thin(components=parts))
    assert [e.component.uid for e in entries if e.component] == ["q", "p"]
    assert render_history(thin(), entries)[-2].plain.startswith("unknown")
    assert entries[0].day == SET


def test_a_table_into_a_pipe_is_never_wrapped_or_cut() -> None:
    lines = table(["well", "why"], [["A-1", "w " * 200], ["LONGER-2", "[red]x"]])
    assert len(lines) == 3
    assert lines[1].plain.startswith("A-1       w w")
    assert lines[2].plain.endswith("[red]x")


def test_a_table_on_a_terminal_wraps_its_last_column_under_itself() -> None:
    lines = table(["well", "why"], [["A-1", "one two three four five six"]], width=30)
    assert [x.plain for x in lines] == ["well  why", "A-1   one two three four five", "      six"]


def test_a_table_without_rows_has_its_headers() -> None:
    assert [x.plain for x in table(["a", "b"], [])] == ["a  b"]


@given(st.text(), st.integers(1, 40))
def test_wrapping_loses_no_word_and_keeps_the_width(text: str, width: int) -> None:
    safe = clean(text)
    lines = [line.plain for line in wrap(Text(safe), width)]
    assert "".join("".join(lines).split()) == "".join(safe.split())
    assert all(cell_len(line) <= max(width, 2) for line in lines)


@given(st.text(), st.integers(1, 40))
def test_one_line_fits_and_is_clean(text: str, width: int) -> None:
    line = one_line(text, width)
    assert cell_len(line) <= width
    assert clean(line) == line


@given(st.text())
def test_clean_text_has_no_controls_and_can_be_written(text: str) -> None:
    safe = clean(text + "\ud800\x1b]0;title\x07")
    assert safe.encode()
    assert not any(ord(c) < 32 or 0x7F <= ord(c) < 0xA0 for c in safe)
    assert clean(safe) == safe


def test_ascii_keeps_the_columns() -> None:
    for line in ("┬─┃─┬ ● ◐ ○ … →", "╡ ┃ ╞ ╎┄┃┄╎ └───┘"):
        assert to_ascii(line).isascii()
        assert len(to_ascii(line)) == len(line)
