"""What a row says of the bore: its depth, level and yield, its casing, liner and screen, how it was made."""

from __future__ import annotations

import re
from collections.abc import Iterator

from wellbook.dates import When
from wellbook.exchange.cell_numbers import as_told
from wellbook.exchange.cell_points import from_point
from wellbook.exchange.mapping import STRETCHES
from wellbook.exchange.row_cells import RowCells
from wellbook.exchange.well_record import Reading, Stretch
from wellbook.terms import Construction, IntervalKind, LevelState, MeasuringPoint, Quantity

_FLOWS = re.compile(
    r"(?:it )?(?:flow(?:s|ing|ed)?|artesian|overflow(?:s|ing|ed)?|free flow(?:ing)?)(?: (?:over|well|at top))?"
    r"|over (?:the )?(?:top|casing)",
    re.IGNORECASE,
)
_DRY = re.compile(r"(?:went |was |is |bone )?dry(?: hole)?|no water", re.IGNORECASE)


class RowBore:
    """Reads the bore of the row at hand."""

    def __init__(self, here: RowCells) -> None:
        self.here = here
        self.kinds = [k for k in STRETCHES if any(t.startswith(f"{k}_") for t in here.places)]

    def readings(self, when: When) -> Iterator[Reading]:
        """Depth, level and yield as of a day."""
        depth = self.here.measure("depth_ft", none_at_zero=True)
        if depth is not None:
            point = self.here.point("depth_ft") or MeasuringPoint.GROUND
            yield Reading(Quantity.DEPTH_FT, depth, when, point)
        if (level := self._level()) is not None:
            state = LevelState.FLOWING if level < 0 else LevelState.STATIC
            yield Reading(Quantity.WATER_LEVEL_FT, level, when, self._point(), state)
        if (flow := self.here.measure("yield_gpm")) is not None:
            yield Reading(Quantity.YIELD_GPM, flow, when)

    def _level(self) -> float | None:
        """How deep the water stands; above the ground it is less than nothing."""
        text = self.here.text("water_level_ft")
        if _FLOWS.fullmatch(text):
            self.here.doubt("water_level_ft", "it flows over, and no height is given")
            return None
        if _DRY.fullmatch(text):
            self.here.doubt("water_level_ft", "no level; kept as a note")
            self.here.keep_words("water_level_ft")
            return None
        level = self.here.measure("water_level_ft", below_zero=True)
        if level and as_told(text)[0].startswith("+"):
            # So the trade writes a head above the ground; common practice, no published source.
            self.here.doubt("water_level_ft", "with a plus it stands above the ground")
            return -level
        return level

    def flows(self) -> bool:
        """Whether the row says that the well flows over by itself."""
        said = self.here.text("flowing").lower() in ("true", "yes", "y", "1")
        return said or _FLOWS.fullmatch(self.here.text("water_level_ft")) is not None

    def _point(self) -> MeasuringPoint | None:
        if told := from_point(self.here.text("water_level_ft"))[1]:
            return told
        said = self.here.text("level_point").lower()
        if "ground" in said:
            return MeasuringPoint.GROUND
        if re.search("casing|top|pedestal|flange", said):
            return MeasuringPoint.CASING_TOP
        return self.here.column("water_level_ft").point

    def stretches(self, when: When) -> Iterator[Stretch]:
        """Casing, liner and screen as of a day."""
        for name in self.kinds:
            top, bottom = self.here.depth(f"{name}_from_ft"), self.here.depth(f"{name}_to_ft")
            wide = self.here.measure(f"{name}_diameter_in", none_at_zero=True)
            if top is None and bottom is None and wide is None:
                continue
            material = self.here.text(f"{name}_material").lower().replace("_", " ")
            kind = name
            if "open hole" in material or self.here.text("casing_code").lower() in (
                "open",
                "open_hole",
            ):
                kind, material = IntervalKind.OPEN_HOLE, ""
            if top is not None and bottom is not None and top > bottom:
                self.here.doubt(f"{name}_from_ft", "it begins below its end; kept as it is")
            if wide is not None and wide > 60:
                self.here.doubt(f"{name}_diameter_in", "over 60 inches wide; kept as it is")
            yield Stretch(kind, top, bottom, wide, material, when)

    def construction(self) -> str:
        """How it was made; "" where no word of it is known."""
        said = self.here.text("construction").lower()
        for word in ("dug", "driven", "drill"):
            if word in said:
                return Construction("drilled" if word == "drill" else word).value
        return ""
