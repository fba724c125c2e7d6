"""The blank visit sheet for the clipboard: the last readings beside the boxes for today's.

Its parts are the common core of what is published on yearly check-ups (NGWA's consumer text; Minnesota and
Illinois on cap and casing). Under a label stands the name of the field in a sheet, so that it can be typed in.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.paper.blocks import Blank, Block, Choice, Entry, Heading, Lines, Paragraph, Title
from wellbook.paper.booklet import Booklet, Section
from wellbook.paper.hole_on_paper import (
    HoleOnPaper,
    due_blocks,
    entries,
    load_blocks,
    said_blocks,
    string_blocks,
)
from wellbook.paper.last_readings import UNKNOWN, last_reading, line_text
from wellbook.quantities import show
from wellbook.terms import Occasion, Quantity

_SMALL = 9.5
_WIRING = "wiring: a licensed electrician, the local code; the box is live when it is open"


def visit_sheet(well: HoleOnPaper, shop: str, *, opens: bool = False) -> Booklet:
    """The sheet for a visit.

    Parameters
    ----------
    well
        What is known of it.
    shop
        Whose paper it is.
    opens
        Whether the job opens the well: what stands for the next pull then comes first.
    """
    blocks = tuple(_blocks(well, opens))
    return Booklet(shop, well.page.day, (Section("Visit sheet", well.page.title, blocks),))


def _blocks(well: HoleOnPaper, opens: bool) -> Iterator[Block]:
    page = well.page
    yield Title(page.title)
    yield from entries(line for line in page.place if line.label != "notes")
    yield Blank("Visit", "", "date, reason, start, end", ("date", "reason", "from", "until"))
    yield Blank("Crew", "", "crew")
    yield Paragraph("What has no name of a field under it is typed into notes.", _SMALL)
    if page.cautions:
        yield Entry("mind", " · ".join(page.cautions))
    yield from _expected(well, opens)
    yield from _head(well)
    yield from electrical(well)
    yield from hydraulic(well)
    yield from _water(well)
    yield from _string(well, opens)
    yield from _paper()


def _expected(well: HoleOnPaper, opens: bool) -> Iterator[Block]:
    """What is on record as wrong or due: on a pull, what waited for it comes first."""
    pull = [f for f in well.page.findings if f.occasion is Occasion.NEXT_PULL]
    other = [f for f in well.page.findings if f.occasion is not Occasion.NEXT_PULL]
    parts = [("FOR THIS PULL", pull), ("WRONG OR DUE", other)]
    for name, found in parts if opens else parts[1:]:
        yield Heading(name)
        yield from due_blocks(found)
        if not found:
            yield Entry("", "nothing on record")
    yield from said_blocks(well.page)
    if opens:
        yield from load_blocks(well.page)
    elif pull:
        yield Paragraph(f"If the well is opened after all: {len(pull)} more; see the well's page.")


def _head(well: HoleOnPaper) -> Iterator[Block]:
    stick_up = well.hole.stick_up_ft
    yield Heading("HEAD")
    yield Entry("cap", line_text(well, "cap"))
    yield Choice("Cap whole, tight, bolted", field='[[found]] what = "loose_cap"')
    yield Choice("Vent screen whole and clean")
    above = UNKNOWN if stick_up is None else f"{show(stick_up, 'ft')} above ground"
    yield Blank("Casing above ground", above, "well edit --stick-up", ("ft",))
    yield Choice("Corrosion of casing", ("none", "some", "bad"), '[[found]] what = "corrosion"')
    yield Choice("Conduit fastened and whole")
    yield Choice("Ground slopes away from the well")
    yield Lines("Hazards within 50 ft (fuel, animals, septic, chemicals)", 1)


def electrical(well: HoleOnPaper) -> Iterator[Block]:
    """The meter's readings."""
    hole = well.hole
    yield Heading("ELECTRICAL", _WIRING)
    volts = last_reading(hole, Quantity.SUPPLY_V)
    yield Blank("Volts, pump off and on", volts, "measured.supply_v", ("off V", "on V"))
    amps = last_reading(hole, Quantity.RUNNING_A)
    yield Blank("Amps running, each leg", amps, "measured.running_a", ("A", "A", "A"))
    megohm, ohm = (
        last_reading(hole, q) for q in (Quantity.INSULATION_MEGOHM, Quantity.WINDING_OHM)
    )
    said = megohm if megohm == ohm else f"{megohm}; winding {ohm}"
    fields = "measured.insulation_megohm value, method; measured.winding_ohm"
    yield Blank("Insulation, winding", said, fields, ("megohm", "ohm"))
    yield Choice("Insulation judged by the table of", ("3 bands", "5 bands"))
    yield Choice("Ground wire fast at both ends")
    yield Choice("Contacts of switch and box")


def hydraulic(well: HoleOnPaper) -> Iterator[Block]:
    """Levels, flows and pressures."""
    hole = well.hole
    yield Heading("HYDRAULIC")
    static, pumping = line_text(well, "static"), line_text(well, "pumping")
    field = "measured.static_level_ft value, state, point, method"
    yield Blank("Static level", static, field, ("ft",))
    yield Choice("The water", ("static", "recently pumped", "dry", "flowing"))
    yield Choice("Measured from; by", ("casing top", "ground"))
    field = "measured.pumping_level_ft value, at_gpm, minutes"
    yield Blank("Pumping level", pumping, field, ("ft", "gpm", "min"))
    flow, gives = (last_reading(hole, q) for q in (Quantity.FLOW_GPM, Quantity.YIELD_GPM))
    said = flow if flow == gives else f"flow {flow}, yield {gives}"
    fields = "measured.flow_gpm, measured.yield_gpm"
    yield Blank("Flow, yield", said, fields, ("flow gpm", "yield gpm"))
    starts, stops = (last_reading(hole, q) for q in (Quantity.CUT_IN_PSI, Quantity.CUT_OUT_PSI))
    cut = starts if starts == stops else f"in {starts}, out {stops}"
    fields = "measured.cut_in_psi, measured.cut_out_psi"
    yield Blank("Pump starts and stops", cut, fields, ("in psi", "out psi"))
    air = last_reading(hole, Quantity.PRECHARGE_PSI)
    yield Blank("Air in the tank, drained", air, "measured.precharge_psi", ("psi",))
    yield Blank("Drawdown, a cycle", "", "", ("gal", "on min", "off min"))


def _water(well: HoleOnPaper) -> Iterator[Block]:
    yield Heading("WATER")
    yield Entry("last", line_text(well, "water"))
    yield Blank("Sample taken", "", "[[sample]] taken_on, note", ("on", "at which tap"))
    yield Blank("Laboratory", "", "[[sample]] laboratory")
    results = "[[sample]] bacteria, nitrate_mg_l, arsenic_mg_l"
    yield Blank("Results", "", results, ("bacteria", "nitrate", "arsenic"))


def _string(well: HoleOnPaper, opens: bool) -> Iterator[Block]:
    yield from string_blocks(well.page)
    room = 5 if opens else 2
    yield Lines("Found: what, part, depth, how many", room, "[[found]]")
    yield Lines("Pulled: what, why, cause", room if opens else 1, "[pulled.pump] and so on")
    yield Lines("Set or put back: what, from, to, serial", room, "[set.pump], [back.pipe]")
    yield Choice("Disinfected, by the label and the local code", ("yes", "no"), "disinfected")


def _paper() -> Iterator[Block]:
    yield Heading("PAPER")
    yield Blank("Report given to the customer on")
    yield Blank("Next visit due")
    yield Lines("Left for next time", 2, "left_for_next_time")
    yield Lines("Notes", 4, "notes")
