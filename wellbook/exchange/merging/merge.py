"""`merge`: another book's changes come into this one, in the caller's transaction.

The look is the same work, undone: so that it also finds what only the replay can refuse.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import islice

from sqlalchemy import Connection, select

from wellbook.errors import ReplayError, WellbookError
from wellbook.exchange.merging.decided_log import log_decision
from wellbook.exchange.merging.deciding import Points, decide, heal
from wellbook.exchange.merging.joins import follow, join_alike, standing
from wellbook.exchange.merging.lines import Line
from wellbook.exchange.merging.merged import FileComing, Merged, counts_of
from wellbook.exchange.merging.new_people import find_two_who_moved_in, settle_stay
from wellbook.exchange.merging.reading import Truth, line_uids, lines_of, read_side
from wellbook.exchange.merging.same import unite, unite_imported
from wellbook.exchange.merging.sheet_versions import merge_versions
from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row
from wellbook.exchange.merging.strings import as_on_one_side, changed_wells, refused, systems_of
from wellbook.exchange.merging.tags import find_clashes, settle_tag
from wellbook.exchange.merging.three_way import merge_table, merge_values
from wellbook.exchange.merging.touched import refresh, touched_wells
from wellbook.exchange.merging.words import Words, label_of
from wellbook.exchange.merging.writing import (
    APART,
    VALUES,
    Writer,
    let_go_of_runs,
    merged_tables,
    replayed,
    unite_logs,
)
from wellbook.store import tables as t
from wellbook.store.forgetting import forget, forget_undone
from wellbook.store.forgetting_undone import undone_among
from wellbook.store.forgotten import forgotten_rows, marks_kept, people_with_marks, to_be_forgotten
from wellbook.store.keys import fill_keys
from wellbook.store.rows import log

_NAMED = 100
"""So many of the sheets that come in are named."""

Decide = Mapping[int, str]
"""What was decided, by the numbers of the conflicts."""


def share_a_past(mine: Connection, its: Connection) -> bool:
    """Whether one of two books was copied from the other, or both from a third."""
    uids = [connection.execute(select(t.book.c.uid)).scalar() for connection in (mine, its)]
    return uids[0] == uids[1] or bool(line_uids(mine) & line_uids(its))


def merge(
    mine: Connection,
    its: Connection,
    *,
    who: str,
    decisions: Decide | None = None,
    unrelated: bool = False,
) -> Merged:
    """Bring what another book has into this one.

    Undecided conflicts are taken as this book has them, and named in what comes back: whoever
    wants them decided lets the transaction go. In both books who was forgotten in one of them is
    forgotten first; the other's transaction is to be let go of too.

    Parameters
    ----------
    decisions
        `here`, `there` or `both`, by the numbers of a look at the same two books.
    unrelated
        Whether books that share no past are united all the same.

    Raises
    ------
    WellbookError
        If the books share no past.
    ReplayError
        If the sheets of a well fit by neither decision.
    """
    if not unrelated and not share_a_past(mine, its):
        raise WellbookError(
            "the two books have no past in common: neither is a copy of the other;"
            " to take all of it in as new: --unrelated"
        )
    return _Merge(mine, its, who, decisions or {}).run()


class _Merge:
    def __init__(self, mine: Connection, its: Connection, who: str, decisions: Decide) -> None:
        self.mine, self.its, self.who, self.decisions = mine, its, who, decisions
        self.merged = Merged()
        self.truths = (Truth(mine), Truth(its))
        self.words = Words(*self.truths)
        self.renamed: dict[str, dict[str, str]] = {}
        self.sheets: tuple[dict[Key, Row], dict[Key, Row]] = ({}, {})
        self.stays: Mapping[Key, Row] = {}
        self.points: Points = {
            **{k.name: {c: x.name for c, x in k.points.items()} for k in merged_tables()},
            **{name: {} for name in APART},
        }

    def run(self) -> Merged:
        # First, since whoever was joined into another record is forgotten with that one.
        self.merged.joined = join_alike(self.mine, self.its)
        self.merged.forgotten = self._forget()
        news = self._read()
        plan = self._plan()
        decided = [(c, self._decision(c)) for c in plan.conflicts]
        for conflict, decision in decided:
            if conflict.kind == "tag":
                settle_tag(plan, conflict, decision)
            elif conflict.kind == "stay":
                settle_stay(plan, conflict, decision, self.stays)
            else:
                decide(plan, conflict, decision, self.points, self.sheets)
        heal(plan, self.points)
        # That two books were merged is told of when something else is.
        self.merged.lines = sum(line.what != "book" for line in news)
        self.merged.counts = list(counts_of(plan))
        coming = islice(plan.of("sheet").insert.values(), _NAMED)
        self.merged.visits = [label_of(self.truths[1], t.sheet, row["uid"]) for row in coming]
        self.merged.files = [
            FileComing(
                row["sha256"], row["file_name"], label_of(self.truths[1], t.well, row["well_id"])
            )
            for row in plan.of("attachment").insert.values()
        ]
        if not self.merged.nothing_new:
            self._write(plan, news, decided)
        return self.merged

    def _decision(self, conflict: Conflict) -> str:
        """What was decided; this book's side for the time being where nothing was."""
        number = len(self.merged.conflicts) + 1
        said = self.decisions.get(number, "")
        self.merged.conflicts.append(self.words.shown(number, conflict, said))
        return said or "here"

    def _forget(self) -> int:
        """Forget in both books whom one of them has forgotten."""
        books = (self.mine, self.its)
        rows = [forgotten_rows(connection, "customer") for connection in books]
        marks = [marks_kept(connection) for connection in books]
        news = len(set(rows[1]) - set(rows[0]))
        for n, (connection, step) in enumerate(zip(books, (1, -1), strict=True)):
            for number, said in to_be_forgotten(connection, *rows[::step]).items():
                forget(connection, said["who"], number, at=said["at"], quietly=True)
            for person, said in undone_among(connection, rows[1 - n]):
                forget_undone(connection, said["who"], person, at=said["at"], quietly=True)
            for number in people_with_marks(connection, marks[1 - n]):
                forget(connection, self.who, number, quietly=True)
                news += n == 0
        return news

    def _read(self) -> list[Line]:
        """Read both change logs; the lines that this book lacks."""
        uids = line_uids(self.mine), line_uids(self.its)
        own = lines_of(self.mine, uids[0] - uids[1])
        news = lines_of(self.its, uids[1] - uids[0])
        sides = read_side(self.mine, own, self.its), read_side(self.its, news, self.mine)
        joins = [*standing(self.mine), *standing(self.its)]
        for side in sides:
            follow(side.log, joins)
        self.plan = Plan(sides)
        unite_imported(self.mine, self.its, self.truths[1], sides[1])
        return news

    def _plan(self) -> Plan:
        plan = self.plan
        for kept in merged_tables():
            rows = self.truths[0].rows(kept), self.truths[1].rows(kept)
            here, there, renamed = unite(kept.name, self.truths, rows, plan.sides)
            if renamed:
                self.renamed[kept.name] = renamed
            merge_table(plan, kept.name, here, there, self.points[kept.name])
            if kept.name == "sheet":
                merge_versions(plan, here, there)
                self.sheets = here, there
            if kept.name == "well":
                find_clashes(plan, here, there)
            if kept.name == "occupancy":
                find_two_who_moved_in(plan, here)
                self.stays = here
        for name, table in VALUES.items():
            merge_values(plan, name, self.truths[0].values(table), self.truths[1].values(table))
        return plan

    def _write(self, plan: Plan, news: list[Line], decided: list[tuple[Conflict, str]]) -> None:
        changed = changed_wells(plan, self.sheets)
        systems = systems_of(self.mine, changed)
        wells = touched_wells(self.mine, plan)
        writer = Writer(self.mine)
        for name, renamed in self.renamed.items():
            writer.rename(t.METADATA.tables[name], renamed)
        for row in plan.of("import_run").insert.values():
            # What it did is told by the numbers of the other book: here it cannot be taken back.
            plan.of("import_run").insert[row["uid"],] = {**row, "first_change": 0, "last_change": 0}
        writer.write(plan)
        unite_logs(self.mine, self.its, news)
        let_go_of_runs(self.mine)
        fill_keys(self.mine)
        for conflict, decision in decided:
            log_decision(self.mine, self.who, conflict, decision, self.sheets)
        for name, key, column in plan.dropped:
            said = {column: None, "decided": "here"}
            log(self.mine, self.who, "merge", name, str(key[0]), new=said)
        systems |= systems_of(self.mine, changed)
        self._replay(plan, systems)
        wells |= touched_wells(self.mine, plan)
        refresh(
            self.mine,
            wells,
            systems,
            everything="setting" in plan.tables and bool(plan.of("setting").update),
        )
        new = {c.table: [c.new, c.changed, c.taken_out] for c in self.merged.counts}
        other = self.its.execute(select(t.book.c.uid)).scalar_one()
        log(self.mine, self.who, "merge", "book", other, new={**new, "lines": len(news)})

    def _replay(self, plan: Plan, systems: Iterable[int]) -> None:
        there = select(t.water_system.c.id)
        known = set(self.mine.execute(there).scalars())
        for number, message in replayed(self.mine, known & set(systems)).items():
            conflict = refused(self.mine, plan, number, message, self.sheets)
            decision = self._decision(conflict)
            side = self.sheets[0] if decision == "here" else self.sheets[1]
            as_on_one_side(self.mine, self.who, number, side)
            for why in replayed(self.mine, [number]).values():
                raise ReplayError(f"{conflict.name}; with the sheets of one side alone: {why}")
