"""`merge`: another book's changes come into this one, in the caller's transaction.

The look is the same work, undone: so that it also finds what only the replay can refuse.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice

from sqlalchemy import Connection, select

from wellbook.errors import ReplayError, WellbookError
from wellbook.exchange.merging.deciding import Points, decide, heal
from wellbook.exchange.merging.joins import follow, join_alike, standing
from wellbook.exchange.merging.lines import Line
from wellbook.exchange.merging.new_people import find_two_who_moved_in, settle_stay
from wellbook.exchange.merging.reading import Truth, line_uids, lines_of, read_side
from wellbook.exchange.merging.same import unite, unite_imported
from wellbook.exchange.merging.sheet_versions import merge_versions
from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row
from wellbook.exchange.merging.strings import as_on_one_side, changed_wells, refused, systems_of
from wellbook.exchange.merging.tags import find_clashes, settle_tag
from wellbook.exchange.merging.three_way import merge_table, merge_values
from wellbook.exchange.merging.touched import refresh, touched_wells
from wellbook.exchange.merging.words import Shown, Words, label_of
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
from wellbook.store.forgetting import (
    forget,
    forgotten_rows,
    marks_kept,
    people_with_marks,
    to_be_forgotten,
)
from wellbook.store.keys import fill_keys
from wellbook.store.rows import log

_NAMED = 100
"""So many of the sheets that come in are named."""

Decide = Mapping[int, str]
"""What was decided, by the numbers of the conflicts."""


@dataclass(frozen=True, slots=True)
class Count:
    """What becomes of one table: rows that come in, are changed, go, or are otherwise only here."""

    table: str
    new: int
    changed: int
    taken_out: int


@dataclass(frozen=True, slots=True)
class FileComing:
    """A file of a well that comes in: the sum of its content, its name and the well's tag."""

    sha256: str
    file_name: str
    tag: str


@dataclass(slots=True)
class Merged:
    """What a merge comes to.

    Parameters
    ----------
    lines
        How many lines of the other's change log this book lacked.
    forgotten
        How many people were forgotten in the other book.
    joined
        How many doubles were joined in the other book, and now are here too.
    visits
        The first of the visits, calls and opening records that come in, in words.
    files
        The files of wells whose rows come in; whoever has the books brings their content.
    """

    counts: list[Count] = field(default_factory=list)
    conflicts: list[Shown] = field(default_factory=list)
    lines: int = 0
    forgotten: int = 0
    joined: int = 0
    visits: list[str] = field(default_factory=list)
    files: list[FileComing] = field(default_factory=list)

    @property
    def undecided(self) -> list[Shown]:
        """The conflicts that wait for a decision."""
        return [one for one in self.conflicts if not one.decision]

    @property
    def nothing_new(self) -> bool:
        """Whether this book has all that the other one has."""
        return not (self.counts or self.conflicts or self.lines or self.forgotten or self.joined)


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
        self.merged.counts = list(_counts(plan))
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
            self._log(conflict, decision)
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

    def _log(self, conflict: Conflict, decision: str) -> None:
        """Keep what was decided, so that a later merge knows who had the last word."""
        table, key = conflict.table, str(conflict.key[0])
        sides = [dict(conflict.there), dict(conflict.here)]
        old, new = sides if decision == "here" else sides[::-1]
        if conflict.kind == "field" and table in VALUES:
            _log_value(self.mine, self.who, table, key, (old["value"], new["value"]))
        elif conflict.kind == "field":
            log(self.mine, self.who, "merge", table, key, old=old, new={**new, "decided": decision})
        elif conflict.kind in ("gone", "stay"):
            log(self.mine, self.who, "merge", table, key, new={"decided": decision})
        elif conflict.kind == "tag":
            uid = conflict.there["uid"] if decision == "here" else conflict.here["uid"]
            free, tag = {"tag": conflict.here["free"]}, {"tag": conflict.there["tag"]}
            log(self.mine, self.who, "merge", "well", uid, old=tag, new=free)
        elif conflict.kind == "sheet":
            for (uid,), row in {**self.sheets[1], **self.sheets[0]}.items():
                if row["root_uid"] == key:
                    said = {"status": row["status"]}
                    log(
                        self.mine,
                        self.who,
                        "merge",
                        "sheet",
                        uid,
                        new={**said, "decided": decision},
                    )


def _log_value(
    connection: Connection, who: str, table: str, name: str, values: tuple[object, object]
) -> None:
    """A decided setting, fact or letter, as the log has changes of them."""
    import json

    old, new = values
    if table == "setting":
        pair = [{name: json.loads(str(v))} if v is not None else {} for v in (old, new)]
        log(connection, who, "change", "setting", "rules", old=pair[0], new=pair[1])
    else:
        what, column = ("shop", name) if table == "shop_fact" else ("template", "text")
        log(connection, who, "change", what, name, old={column: old}, new={column: new})


def _counts(plan: Plan) -> Iterator[Count]:
    for table, part in plan.tables.items():
        numbers = len(part.insert), len(part.update), len(part.delete)
        if any(numbers):
            yield Count(table, *numbers)
