"""Where findings stand with the customer, in few words: what was told together stands together."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from wellbook.rules.finding import Finding
from wellbook.store.lives import Life, words_of


def standing_texts(said: Iterable[tuple[Finding, Life | None]], day: date) -> list[str]:
    """ "told 2026-11-03 by letter: check-up, bacteria test"; nothing of what is merely due."""
    together: dict[str, list[str]] = {}
    for finding, life in said:
        words = words_of(life, day)
        if words:
            together.setdefault(words, []).append(finding.subject)
    return [f"{words}: {', '.join(dict.fromkeys(what))}" for words, what in together.items()]
