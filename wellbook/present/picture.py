"""The hole drawn to scale: where the casing ends, where the water stands, where the pump hangs.

One row a feature, linear in depth. Where two would share a row the lower one moves down a row, and
nothing ever changes its order: a picture that is a row off is still true, one that shows the pump
above the water is not. Limits that something hangs past (the rating of the pipe, the lift of the
pump) are lines across the hole above it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from rich.cells import cell_len, set_cell_size

from wellbook.engineering.pressure import floor_ft
from wellbook.hole.component import Component
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe, Pump
from wellbook.hole.records import Interval
from wellbook.present.part_texts import pipe_made_of
from wellbook.quantities import show
from wellbook.rules.reach import PipeReach, Reach
from wellbook.terms import Basis, LevelState, PumpType, Quantity

WIDTH = 24
_DEPTH, _HOLE = 5, 5
_LABEL = WIDTH - _DEPTH - _HOLE - 2
_UNKNOWN_BELOW = 1.15
_BLIND_FT = 100.0


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing at a depth below ground: its kind, its label and the mark of its basis.

    `words` say it where there is more room than the page's picture has. A limit that is only known to
    lie between two depths stands at the shallower, and `to_ft` is the other.
    """

    what: str
    depth_ft: float
    label: str
    mark: str = ""
    words: str = ""
    to_ft: float | None = None

    @property
    def said(self) -> str:
        """What it is, in as many words as there are."""
        return self.words or self.label


@dataclass(frozen=True, slots=True)
class Scene:
    """What is to be drawn, top down. The last feature is the bottom, known or not."""

    features: tuple[Feature, ...]


# -- what is to be seen ------------------------------------------------------------------------

_ORDER = (
    *("top", "ground", "flow", "seal", "casing", "end", "water", "pumping", "usable"),
    *("valve", "section", "arrestor", "rated", "cut_out", "with_cut_out", "column", "may_stall"),
    *("stalls", "pump", "pipe_end", "before", "bottom", "open"),
)


def scene_of(hole: Hole, reach: Reach | None = None) -> Scene:
    """What a hole has at which depth; nothing, where it is not there yet.

    Parameters
    ----------
    hole
        The well as of a day.
    reach
        Its limits. Of these only what hangs deeper than it may, or than its pump lifts, is shown.
    """
    if hole.not_yet_drilled:
        return Scene(())
    found = features_of(hole)
    if reach is not None:
        found += _passed(reach)
    return in_order(found)


def features_of(hole: Hole) -> list[Feature]:
    """What is there, the bottom among it whether it is known or not; in no order."""
    found = [*_head(hole), *_casing(hole), *_water(hole), *_pump(hole), *_bottom(hole)]
    if not any(f.what == "bottom" for f in found):
        deepest = max(f.depth_ft for f in found)
        below = deepest * _UNKNOWN_BELOW if deepest > 0 else _BLIND_FT
        found.append(Feature("open", below, "bottom ?", words="bottom not known"))
    return found


def in_order(features: Iterable[Feature]) -> Scene:
    """A scene of features, top down; of one depth, the pump below the water and so on."""
    return Scene(tuple(sorted(features, key=lambda f: (f.depth_ft, _ORDER.index(f.what)))))


def _passed(reach: Reach) -> Iterator[Feature]:
    """The limits that something hangs past: of each kind the shallowest."""
    for what, label, depths in (
        ("with_cut_out", "pipe+switch", [_with(p) for p in reach.pipes if p.too_deep_with_cut_out]),
        ("column", "pipe alone", [_alone(p) for p in reach.pipes if p.too_deep]),
    ):
        if depths:
            yield Feature(what, min(depths), label)
    yield from _short(reach)
    for feature in stall_features(reach):
        if reach.set_depth_ft is not None and feature.depth_ft < reach.set_depth_ft:
            yield feature


def _with(pipe: PipeReach) -> float:
    return pipe.limits.drawn_down_ft if pipe.limits else 0.0


def _alone(pipe: PipeReach) -> float:
    return pipe.limits.bare_column_ft if pipe.limits else 0.0


def _short(reach: Reach) -> Iterator[Feature]:
    """From where the pump comes up to its cut-out no more, where it surely hangs past that."""
    reaches = reach.lift.reaches_cut_out_ft if reach.lift else None
    if reaches is None or reach.lift is None or reach.set_depth_ft is None:
        return
    if reaches.high < reach.set_depth_ft:
        mark = Basis.ESTIMATED.mark if reach.lift.estimated else ""
        yield Feature("cut_out", floor_ft(reaches.low), "lift ends", mark)


def stall_features(reach: Reach) -> Iterator[Feature]:
    """Where the pump gives no more water; where that is an estimate, from where it may be so."""
    stalls = reach.lift.stalls_ft if reach.lift else None
    if stalls is None or reach.lift is None:
        return
    mark = Basis.ESTIMATED.mark if reach.lift.estimated else ""
    if stalls.low < stalls.high:
        yield Feature("may_stall", floor_ft(stalls.low), "may stall", mark, "pump may stall")
    sure = "surely stalls" if stalls.low < stalls.high else "stalls"
    yield Feature("stalls", floor_ft(stalls.high), "stalls", mark, f"pump {sure}")


def _head(hole: Hole) -> Iterator[Feature]:
    if hole.stick_up_ft:
        yield Feature("top", -hole.stick_up_ft, "casing top")
    yield Feature("ground", 0.0, "ground")
    fact = hole.at_rest()
    if fact is not None and fact.value is None and fact.state is not LevelState.DRY:
        yield Feature("flow", min(-(hole.stick_up_ft or 0.0), 0.0), "flows", fact.basis.mark)


def _casing(hole: Hole) -> Iterator[Feature]:
    ends = [i for i in hole.casing() if i.to_ft]
    if ends:
        last = max(ends, key=lambda i: i.to_ft or 0.0)
        words = f"{_casing_words(last)} to"
        yield Feature("casing", last.to_ft or 0.0, "casing", last.basis.mark, words)


def _casing_words(casing: Interval) -> str:
    width = "" if casing.diameter_in is None else show(casing.diameter_in, "in")
    material = casing.material.replace("_", " ")
    return " ".join(w for w in (width, material, "casing") if w)


def _water(hole: Hole) -> Iterator[Feature]:
    still = hole.fact(Quantity.WATER_LEVEL_FT)
    for what, fact, label in (
        ("water", still, "static"),
        ("pumping", hole.level(LevelState.PUMPING), "pumping"),
    ):
        if fact is not None and fact.value is not None and not _since_dry(hole, fact):
            flows = fact.state is LevelState.FLOWING
            yield _at(hole, what, fact, "flows" if flows else label)
    if still is None:
        other = hole.level(LevelState.RECENTLY_PUMPED, LevelState.UNKNOWN) or _unstated(hole)
        if other is not None and other.value is not None:
            yield _at(hole, "water", other, "level")


def _since_dry(hole: Hole, fact: Fact) -> bool:
    """Whether the well was dry since: then no water stands where a level was read before."""
    rest = hole.at_rest()
    dry = rest.as_of.latest if rest is not None and rest.state is LevelState.DRY else None
    return dry is not None and (fact.as_of.latest or date.min) <= dry


def _unstated(hole: Hole) -> Fact | None:
    levels = hole.valid_observations(Quantity.WATER_LEVEL_FT)
    return next((o.fact() for o in reversed(levels) if o.state is None), None)


def _at(hole: Hole, what: str, fact: Fact, label: str) -> Feature:
    words = f"{label} level" if label in ("static", "pumping") else ""
    return Feature(what, hole.below_ground(fact), label, fact.basis.mark, words)


_PUMP_LABELS = {
    PumpType.HAND: "cylinder",
    PumpType.SHALLOW_JET: "intake",
    PumpType.DEEP_JET: "ejector",
    PumpType.LINESHAFT: "bowls",
}


def _pump(hole: Hole) -> Iterator[Feature]:
    pump = hole.the(Pump)
    set_at = pump[0].fact("set_depth_ft") if pump else None
    if pump is not None and set_at is not None and hole.closed_without_pump is None:
        label = _PUMP_LABELS.get(pump[1].type or PumpType.SUBMERSIBLE, "pump")
        yield Feature("pump", set_at.number, label, set_at.basis.mark, _pump_words(pump[0], label))
        return
    ends = [(f, c) for c, _ in hole.parts(Pipe) if (f := c.fact("to_ft"))]
    if ends:
        last, pipe = max(ends, key=lambda end: end[0].number)
        words = f"{pipe_made_of(pipe) or 'pipe'} to"
        yield Feature("pipe_end", last.number, "pipe end", last.basis.mark, words)


def _pump_words(pump: Component, label: str) -> str:
    size = [
        show(f.number, u) for n, u in (("hp", "hp"), ("rated_gpm", "gpm")) if (f := pump.fact(n))
    ]
    return ", ".join((label, *size))


def _bottom(hole: Hole) -> Iterator[Feature]:
    """The bottom; where nobody knows it since work on the hole, the one before, in doubt."""
    fact, before = hole.fact(Quantity.DEPTH_FT), hole.before_work(Quantity.DEPTH_FT)
    if fact is not None and hole.below_ground(fact) > 0:
        yield _at(hole, "bottom", fact, "bottom")
    elif fact is None and before is not None and hole.below_ground(before[0]) > 0:
        yield _at(hole, "before", before[0], "till then")


# -- on which row ------------------------------------------------------------------------------


def place_rows(depths_ft: Sequence[float], height: int) -> list[int]:
    """The row of each depth, to scale, each on its own row, in the order given.

    Parameters
    ----------
    depths_ft
        Feet below ground, never falling.
    height
        Rows; where there are more depths than that, as many rows as depths.

    >>> place_rows([0, 50, 100], 11), place_rows([0, 0.1, 0.2, 100], 11)
    ([0, 5, 10], [0, 1, 2, 10])
    """
    last = max(height, len(depths_ft)) - 1
    top, span = depths_ft[0], depths_ft[-1] - depths_ft[0]
    rows = [round((d - top) / span * last) if span else 0 for d in depths_ft]
    for n in range(1, len(rows)):
        rows[n] = max(rows[n], rows[n - 1] + 1)
    for n in reversed(range(len(rows))):
        rows[n] = min(rows[n], last - (len(rows) - 1 - n))
    return rows


# -- drawing -----------------------------------------------------------------------------------


def draw(scene: Scene, height: int) -> list[str]:
    """The picture as rows of at most 24 columns: depth below ground, the hole, a label.

    Parameters
    ----------
    scene
        What is to be seen.
    height
        Rows wanted; a scene with more features than that takes a row for each.
    """
    if not scene.features:
        return []
    rows = place_rows([f.depth_ft for f in scene.features], height)
    at = dict(zip(rows, scene.features, strict=True))
    where = {f.what: row for row, f in at.items()}
    return [_row(row, at.get(row), where) for row in range(max(height, len(rows)))]


def draw_hole(hole: Hole, height: int) -> list[str]:
    """The picture of a hole, as `draw` gives it."""
    return draw(scene_of(hole), height)


def body_rows(scene: Scene, rows: Sequence[int], height: int) -> list[str]:
    """The five columns of the hole itself, row by row, its features on the rows given."""
    at = dict(zip(rows, scene.features, strict=True))
    where = {f.what: row for row, f in at.items()}
    return [_body(row, at[row].what if row in at else "", where) for row in range(height)]


def _row(row: int, feature: Feature | None, where: dict[str, int]) -> str:
    body = _body(row, feature.what if feature else "", where)
    if feature is None:
        return f"{'':{_DEPTH}} {body}".rstrip()
    depth = "" if feature.what in ("open", "flow") else depth_number(feature.depth_ft)
    text = " ".join(w for w in (feature.label, feature.mark) if w)
    if cell_len(text) > _LABEL:
        text = set_cell_size(text, _LABEL)
    return f"{depth:>{_DEPTH}} {body} {text}".rstrip()


def depth_number(depth_ft: float) -> str:
    """A depth in a narrow column; above ground with a plus.

    >>> depth_number(141), depth_number(97.5), depth_number(-1.5), depth_number(1040.25)
    ('141', '97.5', '+1.5', '1040')
    """
    text = f"{abs(depth_ft):.1f}".removesuffix(".0")
    if len(text) > _DEPTH - 1:
        text = f"{abs(depth_ft):.0f}"
    return f"+{text}" if depth_ft < 0 and text != "0" else text


_MARKED = {
    "water": "{0}~{1}~{0}",
    "flow": "{0}~{1}~{0}",
    "pumping": "{0}┄{1}┄{0}",
    "pump": "{0} █ {0}",
    "pipe_end": "{0} ╹ {0}",
    "before": "{0}?{1}?{0}",
    **dict.fromkeys(("with_cut_out", "column"), "{0}═{1}═{0}"),
    **dict.fromkeys(("cut_out", "may_stall", "stalls"), "{0}░{1}░{0}"),
}


def _body(row: int, what: str, where: dict[str, int]) -> str:
    """The five columns of the hole itself on one row."""
    foot = where.get("pump", where.get("pipe_end", -1))
    pipe = "┃" if row < foot else " "
    if what == "bottom":
        return "└───┘" if foot <= row else "└─┃─┘"
    if what == "open":
        return "?   ?"
    if what == "top":
        return f"┬─{pipe if pipe != ' ' else '─'}─┬"
    if what == "ground":
        return f"┼ {pipe} ┼" if "top" in where or "flow" in where else f"┬ {pipe} ┬"
    if what == "casing":
        return f"╡ {pipe} ╞"
    wall = _wall(row, where)
    return _MARKED.get(what, "{0} {1} {0}").format(wall, pipe)


def _wall(row: int, where: dict[str, int]) -> str:
    """Casing stands as a line, the open hole as a broken one; outside of both there is no wall."""
    head = min(where.get("top", where["ground"]), where["ground"])
    if row < head or row > where.get("bottom", row):
        return " "
    if "casing" in where and row > where["casing"]:
        return "╎"
    return "│"
