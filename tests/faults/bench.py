"""An operation that is killed again and again, each time from its beginning."""

from __future__ import annotations

import json
import random
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.faults.warm import Warm


@dataclass(frozen=True)
class Plan:
    """How often an operation is killed, and by what; `last` is before each of its last steps."""

    steps: int
    bytes: int = 0
    delays: int = 0
    last: int = 0

    @property
    def kills(self) -> int:
        """How many kills that is."""
        return self.steps + self.bytes + self.delays + self.last


class Bench:
    """One operation, killed again and again, each time from its beginning."""

    def __init__(self, process: Warm, beginning: Path, room: Path, what: str) -> None:
        self.process, self.beginning, self.room, self.what = process, beginning, room, what
        self.many = 0
        self.signals: set[int] = set()

    def run(self, how: str, at: float = 0, folder: Path | None = None) -> Path:
        """The operation once; the folder in which it was."""
        if folder is None:
            self.many += 1
            folder = self.room / str(self.many)
            shutil.copytree(self.beginning, folder)
        ended = self.process.order(self.what, folder, how, at)
        self.signals.add(ended["signal"])
        assert ended["signal"] or ended["status"] == 0, (folder / "said").read_text()
        return folder

    def after(self, confirmed: int) -> Path:
        """As it is where as much was confirmed and nothing was killed."""
        return self.run("until", confirmed)

    def killed(self, plan: Plan) -> Iterator[Path]:
        """Folders after a kill, and which kill it was on standard output."""
        counted = self.run("count")
        steps, commits = json.loads((counted / "steps").read_text())
        dice = random.Random(self.what)
        moments = [m + d for m in commits for d in (0, 1)]
        moments += dice.sample(
            sorted(set(range(1, steps + 1)) - set(moments)), steps - len(moments)
        )
        longest = (counted / "shop.book").stat().st_size
        end = set(range(max(1, steps + 1 - plan.last), steps + 1))
        moments = [m for m in moments if m not in end]
        ways = [("step", m) for m in sorted({*moments[: plan.steps], *end})]
        # The memory that processes share is a file too, and is made first.
        ways += [("byte", dice.randrange(34_000, longest)) for _ in range(plan.bytes)]
        ways += [("delay", dice.random() * 0.4) for _ in range(plan.delays)]
        for how, at in ways:
            folder = self.run(how, at)
            print(f"killed at {how} {at}")
            yield folder
            shutil.rmtree(folder)


def at(what: str, where: str = "shop", within: str = "") -> tuple[str, str, str]:
    return what, where, within


def confirmed(folder: Path) -> list[str]:
    """What the user has been told is done."""
    file = folder / "confirmed"
    return [json.loads(line) for line in file.read_text().splitlines()] if file.exists() else []
