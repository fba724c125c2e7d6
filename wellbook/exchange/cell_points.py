"""From where a level or a depth is measured, where its cell says so: "43 ft btc", "20' below grade"."""

from __future__ import annotations

import re

from wellbook.terms import MeasuringPoint

# As the trade shortens them: below top of casing, below ground surface, level or land surface
# (common practice, no published source).
_CASING = (
    r"(?:b\.?t\.?o?|t\.?o)\.?c\.?"
    r"|(?:below|from|under) (?:the )?(?:toc|(?:top of )?(?:the )?casing(?: top)?)"
)
_GROUND = (
    r"b\.?g\.?[sl]?\.?|b\.?l\.?s\.?"
    r"|(?:below|from|under) (?:the )?(?:ground|grade|land)(?: (?:level|surface))?"
)
_POINT = re.compile(
    rf"(?P<number>.*[\d½¼¾'′’\"″”]|.*\d\s?(?:ft|feet|m|met(?:er|re)s?)\.?)[ ,(]*"
    rf"(?:(?P<casing>{_CASING})|{_GROUND})\)?",
    re.IGNORECASE,
)
_LONGEST = 60


def from_point(text: str) -> tuple[str, MeasuringPoint | None]:
    """A number without the words that say from where it is measured, and from where; None without them.

    >>> [from_point(text)[0] for text in ("43 ft btc", "20' below grade", "12.5 (TOC)", "30 m bgl", "45 ft")]
    ['43 ft', "20'", '12.5', '30 m', '45 ft']
    >>> from_point("43 ft btc")[1], from_point("45 ft")[1]
    (<MeasuringPoint.CASING_TOP: 'casing_top'>, None)
    """
    match = _POINT.fullmatch(text) if len(text) < _LONGEST else None
    if match is None:
        return text, None
    point = MeasuringPoint.CASING_TOP if match["casing"] else MeasuringPoint.GROUND
    return match["number"].strip(), point
