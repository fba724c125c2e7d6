"""Water samples in lines: what each result is compared with, what it was before, and over the years."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from rich.cells import cell_len
from rich.text import Text

from wellbook.engineering.analytes import ANALYTES, Analyte, Result
from wellbook.engineering.trend import Trend, trend, yearly
from wellbook.engineering.water_figures import (
    BACTERIA_TEXTS,
    FIGURES,
    HARDNESS_SCALES,
    Comparison,
    comparisons,
    hardness_class,
    methane_band,
)
from wellbook.hole.hole import Hole
from wellbook.hole.records import Sample
from wellbook.present.envelope import Shape, day_json, when_json
from wellbook.present.finding_lines import draw_finding, finding_lines
from wellbook.present.tables import table
from wellbook.rules.finding import Finding
from wellbook.rules.levels import year_of
from wellbook.rules.sample_order import first_day, last_day
from wellbook.terms import Bacteria

YARDSTICKS = (
    "the figures bind public systems; a private well's result is compared with them, and whether a"
    " water may be drunk is for the health department to say"
)
UNTIL_CLEAN = "until a sample is clean the health department advises those who drink there"
CHLORINE = (
    "chlorine: by its label, eyes and hands covered, never with ammonia or acid; power off and"
    " locked out; nobody in a pit; local code"
)


_NO_FIGURE = "no published figure here"


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One result: what it is compared with, and what the sample before had of the same."""

    analyte: Analyte
    result: Result
    comparisons: tuple[Comparison, ...]
    more: str
    before: tuple[Sample, Result] | None

    @property
    def texts(self) -> list[str]:
        """The result with the first figure that it is compared with; then a line a figure."""
        held = [c.text for c in self.comparisons] or ["" if self.more else _NO_FIGURE]
        was = ""
        if self.before is not None:
            sample, result = self.before
            was = f" (was {self.analyte.said(result)}, {sample.taken_on})"
        said = f"{self.analyte.said(self.result)}{self.more}{was}"
        return ["; ".join(x for x in (said, held[0]) if x), *held[1:]]


def in_order(hole: Hole) -> list[Sample]:
    """The samples of a well of which a result is known, the oldest first; of a day, as they came."""
    told = (s for s in hole.samples if s.bacteria or s.results)
    return sorted(told, key=lambda s: (last_day(s), first_day(s)))


def _older(hole: Hole, sample: Sample) -> list[Sample]:
    samples = in_order(hole)
    return samples[: samples.index(sample)]


def result_lines(hole: Hole, sample: Sample) -> list[ResultLine]:
    """Each analyte of a sample; of nitrate and nitrite also their sum, which has its own figure."""
    older = _older(hole, sample)
    lines: list[ResultLine] = []
    for word, result in sample.compared.items():
        told = ((s, s.compared[word]) for s in reversed(older) if word in s.compared)
        held = tuple(comparisons(word, result))
        more = _more(word, result)
        lines.append(ResultLine(ANALYTES[word], result, held, more, next(told, None)))
    return lines


def _more(word: str, result: Result) -> str:
    """What a scale calls it, with the scale's name."""
    if result.value is None or result.below:
        return ""
    if word == "hardness_mg_l":
        named = [f"{hardness_class(result.value, scale)} ({scale})" for scale in HARDNESS_SCALES]
        return f", {result.value / 17.11806:.3g} gpg: {', '.join(named)}"
    return f": {methane_band(result.value)}" if word == "methane_mg_l" else ""


# -- one sample -----------------------------------------------------------------------------------


def sample_lines(
    hole: Hole, sample: Sample, owed: Sequence[Finding], day: date, width: int | None
) -> Iterator[Text]:
    """What a sample has, each result compared with its figures, and what the water owes now."""
    lines = result_lines(hole, sample)
    labels = ["bacteria"] * bool(sample.bacteria) + [x.analyte.label for x in lines]
    column = max(map(len, labels), default=0) + 2
    if sample.bacteria:
        yield Text(f"  {'bacteria':<{column}}{_bacteria_text(hole, sample)}")
    for line in lines:
        for n, text in enumerate(line.texts):
            yield Text(f"  {'' if n else line.analyte.label:<{column}}{text}")
    if owed:
        yield Text("What this well's water owes", "bold")
        for one in finding_lines(owed, day):
            yield from draw_finding(one, width, 2)
    else:
        yield Text("Nothing is owed for this well's water now.")
    yield Text(f"mind      {YARDSTICKS}")
    if any(f.subject == "disinfection owed" for f in owed):
        yield Text(f"          {UNTIL_CLEAN}")
        yield Text(f"          {CHLORINE}")


def _bacteria_text(hole: Hole, sample: Sample) -> str:
    older = [s for s in _older(hole, sample) if s.bacteria]
    said = _bacteria(sample.bacteria)
    was = f" (was {_bacteria(older[-1].bacteria)}, {older[-1].taken_on})" if older else ""
    ecoli, coliform = BACTERIA_TEXTS
    held = {Bacteria.COLIFORM_PRESENT: coliform}.get(sample.bacteria or Bacteria.ABSENT, ecoli)
    return f"{said}{was}; {held}"


def _bacteria(found: Bacteria | None) -> str:
    return "" if found is None else found.label.replace("ecoli", "E. coli")


# -- over the years -------------------------------------------------------------------------------


def years_lines(hole: Hole, width: int | None) -> Iterator[Text]:
    """All results, an analyte a row and a sample a column, the newest first; then what they say."""
    samples = in_order(hole)[::-1]
    words = [w for w in ANALYTES if any(w in s.compared for s in samples)]
    for some in _fitting(samples, words, width):
        yield from _one_table(some, words, width)
        yield Text("")
    column = max((len(ANALYTES[word].label) for word in words), default=0) + 2
    for word in words:
        yield from _over_the_years(hole, word, column)
    yield Text(f"mind  {YARDSTICKS}")


def _fitting(
    samples: Sequence[Sample], words: Sequence[str], width: int | None
) -> Iterator[Sequence[Sample]]:
    """As many samples side by side as there is room for, and the others below."""
    at = 0
    while at < len(samples):
        count = len(samples) - at
        while width is not None and count > 1:
            drawn = _cells(samples[at : at + count], words)
            widest = sum(max(map(cell_len, column)) + 2 for column in zip(*drawn, strict=True)) - 2
            if widest <= width:
                break
            count -= 1
        yield samples[at : at + count]
        at += count


def _one_table(samples: Sequence[Sample], words: Sequence[str], width: int | None) -> list[Text]:
    head, *rows = _cells(samples, words)
    return table(head, rows, width)


def _cells(samples: Sequence[Sample], words: Sequence[str]) -> list[list[str]]:
    rows = [["", "compared with", *(str(s.taken_on) for s in samples)]]
    if any(s.bacteria for s in samples):
        rows.append(["bacteria", "absent (MCL)", *(_bacteria(s.bacteria) for s in samples)])
    for word in words:
        told = [_short(word, s.compared.get(word)) for s in samples]
        if any(told):
            rows.append([ANALYTES[word].label, _figures_text(word), *told])
    return rows


def _short(word: str, result: Result | None) -> str:
    """A result without its unit, which stands beside the figure."""
    if result is None:
        return ""
    return ANALYTES[word].said(result).removesuffix(ANALYTES[word].unit).rstrip()


def _figures_text(word: str) -> str:
    """The figures in few words; their sections stand below."""
    unit = ANALYTES[word].unit
    said: dict[str, list[str]] = {}
    for figure in FIGURES[word]:
        kind = str(figure.sort).split()[0]
        said.setdefault(kind, []).append(figure.limits.removesuffix(unit).rstrip())
    listed = (" ".join((", ".join(n), unit, kind)) for kind, n in said.items())
    return " ".join("; ".join(listed).split()) or unit


def _over_the_years(hole: Hole, word: str, column: int) -> Iterator[Text]:
    """The newest result against its figures, what it was before, and the trend."""
    told = [s for s in in_order(hole) if word in s.compared]
    line = next(x for x in result_lines(hole, told[-1]) if x.analyte.word == word)
    first, *more = line.texts
    yield Text(f"{ANALYTES[word].label:<{column}}{told[-1].taken_on}: {first}")
    yield from (Text(f"{'':<{column}}{text}") for text in more)
    says = trend_text(word, told)
    if says:
        yield Text(f"{'':<{column}}{says}")


def the_trend(word: str, told: Sequence[Sample]) -> Trend | None:
    """The trend of an analyte; None where one of its results is no number, or they are too few.

    The arithmetic is that of levels over the years and asks for no unit.
    """
    points: list[tuple[float, float]] = []
    for sample in told:
        result, when = sample.compared[word], sample.taken_on
        if result.below or result.value is None or when.earliest is None or when.latest is None:
            return None
        points.append((year_of(when.earliest + (when.latest - when.earliest) / 2), result.value))
    try:
        return trend(yearly(points))
    except ValueError:
        # More than a level can be in feet: nothing is said.
        return None


def trend_text(word: str, told: Sequence[Sample]) -> str:
    """The trend in words; empty where none can be said."""
    found = the_trend(word, told)
    if found is None:
        return ""
    low, high = sorted((found.low_ft_per_year, found.high_ft_per_year))
    unit = ANALYTES[word].unit
    band = f"({low:.3g} to {high:.3g}; results of {found.n} years)"
    if not found.clear:
        return f"over the years: no clear trend, {found.slope_ft_per_year:.3g} {unit} a year {band}"
    way = "rises" if found.slope_ft_per_year > 0 else "falls"
    return f"over the years: {way} {abs(found.slope_ft_per_year):.3g} {unit} a year {band}"


# -- for other programs ---------------------------------------------------------------------------


def sample_json(hole: Hole, sample: Sample) -> Shape:
    """A sample: each result with the figures it is compared with and the result before."""
    return {
        "taken_on": when_json(sample.taken_on),
        "bacteria": sample.bacteria.value if sample.bacteria else None,
        "laboratory": sample.laboratory,
        "note": sample.note,
        "results": [_result_json(line) for line in result_lines(hole, sample)],
    }


def _result_json(line: ResultLine) -> Shape:
    before = line.before
    return {
        "analyte": line.analyte.word,
        "label": line.analyte.label,
        "unit": line.analyte.unit,
        "value": line.result.value,
        "below": line.result.below,
        "compared_with": [
            {
                "most": c.figure.most,
                "least": c.figure.least,
                "begins": c.figure.begins,
                "kind": c.figure.sort.value,
                "section": c.figure.section,
                "year": c.figure.year,
                "for": c.figure.who,
                "stands": c.against.value,
                "why": c.why,
            }
            for c in line.comparisons
        ],
        "before": None
        if before is None
        else {
            "taken_on": when_json(before[0].taken_on),
            "value": before[1].value,
            "below": before[1].below,
        },
    }


def trends_json(hole: Hole) -> Shape:
    """The trend of each analyte that has one: its unit a year, with the interval."""
    shapes: Shape = {}
    for word in ANALYTES:
        told = [s for s in in_order(hole) if word in s.compared]
        found = the_trend(word, told) if told else None
        if found is not None:
            shapes[word] = {
                "per_year": found.slope_ft_per_year,
                "low": found.low_ft_per_year,
                "high": found.high_ft_per_year,
                "years": found.n,
                "clear": found.clear,
                "newest": day_json(told[-1].taken_on.latest),
            }
    return shapes
