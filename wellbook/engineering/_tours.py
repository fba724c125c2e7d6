"""Round trips over a table of distances: point 0 is where each begins and ends, the others are stops.

A tour is the list of the stops in the order in which they are driven to. The table is square and the
same both ways. Nothing here draws lots: the same table gives the same tour.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import inf

Table = Sequence[Sequence[float]]

EXACT_UP_TO = 12
"""Stops of which the shortest tour is found outright: some 300,000 steps, which nobody waits for."""
# Each of this many steps looks at one pair of legs; a machine of 2026 does some millions a second.
_WORK = 120_000
_LONGEST_MOVED = 3
_GAIN = 1e-9
"""What is less than this is no gain but the last bits of a float."""


def length(table: Table, tour: Sequence[int]) -> float:
    """How long a tour is, from point 0 and back to it."""
    return sum(table[a][b] for a, b in pairwise((0, *tour, 0)))


def best_tour(table: Table) -> list[int]:
    """The shortest tour of few stops; of many a short one, never longer than the nearest neighbour's."""
    if len(table) - 1 <= EXACT_UP_TO:
        return shortest(table)
    tours = [improved(table, tour) for tour in beginnings(table)]
    return min(tours, key=lambda tour: (length(table, tour), tour))


def beginnings(table: Table) -> list[list[int]]:
    """Nearest-neighbour tours by different first stops, the nearest among them.

    As many as there is time for: the best that comes of them is close to the shortest of all.
    """
    stops = len(table) - 1
    firsts = sorted(range(1, stops + 1), key=lambda stop: (table[0][stop], stop))
    count = min(stops, max(1, _WORK // max(stops, 1) ** 2))
    return [nearest_neighbour(table, firsts[at * stops // count]) for at in range(count)]


def best_days(table: Table, days: int, per_day: int) -> list[list[int]]:
    """The stops in at most so many days of at most so many; there must be room for all.

    A short tour is not always the one that is cut best: along one road it may take every other stop on
    the way out. So several are cut, and the fewest miles count; each day is then put in order.
    """
    found = [shortest(table)] if len(table) - 1 <= EXACT_UP_TO else []
    for tour in beginnings(table):
        found += [tour, improved(table, tour)]
    cuts = [cut_into_days(table, tour, days, per_day) for tour in found]
    best = min(cuts, key=lambda cut: (sum(length(table, day) for day in cut), cut))
    return [_in_order(table, day) for day in best]


def _in_order(table: Table, day: Sequence[int]) -> list[int]:
    """The stops of a day in the best order of them alone."""
    some = [0, *sorted(day)]
    return [some[at] for at in best_tour([[table[a][b] for b in some] for a in some])]


def shortest(table: Table) -> list[int]:
    """The shortest tour there is, by dynamic programming over the sets of stops.

    Source: Held and Karp, A dynamic programming approach to sequencing problems, 1962.
    """
    count = len(table) - 1
    if count < 1:
        return []
    # The shortest way from point 0 through a set of stops (as bits) to its last, and the one before.
    ways: list[dict[int, tuple[float, int]]] = [{} for _ in range(1 << count)]
    for stop in range(count):
        ways[1 << stop][stop] = (table[0][stop + 1], -1)
    for done in range(1, 1 << count):
        here = ways[done]
        for stop in range(count):
            bit = 1 << stop
            if not done & bit or done == bit:
                continue
            before, row = ways[done ^ bit], table[stop + 1]
            best, last = inf, -1
            for other, (miles, _) in before.items():
                there = miles + row[other + 1]
                if there < best:
                    best, last = there, other
            here[stop] = (best, last)
    every = (1 << count) - 1
    stop = min(ways[every], key=lambda end: (ways[every][end][0] + table[end + 1][0], end))
    tour: list[int] = []
    done = every
    while stop >= 0:
        tour.append(stop + 1)
        done, stop = done ^ (1 << stop), ways[done][stop][1]
    return tour[::-1]


def nearest_neighbour(table: Table, first: int) -> list[int]:
    """To a first stop, then to the nearest one that is left, and so on."""
    left = set(range(1, len(table))) - {first}
    tour = [first]
    while left:
        row = table[tour[-1]]
        tour.append(min(left, key=lambda stop: (row[stop], stop)))
        left.remove(tour[-1])
    return tour


def improved(table: Table, tour: Sequence[int]) -> list[int]:
    """The tour with crossings undone and short runs of stops moved, until neither helps.

    Sources: 2-opt by Croes, A method for solving traveling-salesman problems, 1958; moving runs of up
    to three stops by Or, 1976.
    """
    way = [0, *tour, 0]
    while _uncross(table, way) or _move_runs(table, way):
        pass
    return way[1:-1]


def _uncross(table: Table, way: list[int]) -> bool:
    """Turn round each stretch that is shorter the other way round; whether there was one."""
    found = False
    for i in range(1, len(way) - 2):
        for j in range(i + 1, len(way) - 1):
            before, first, last, after = way[i - 1], way[i], way[j], way[j + 1]
            saved = table[before][first] + table[last][after]
            saved -= table[before][last] + table[first][after]
            if saved > _GAIN:
                way[i : j + 1] = way[i : j + 1][::-1]
                found = True
    return found


def _move_runs(table: Table, way: list[int]) -> bool:
    """Move each run of a few stops to where it fits better; whether there was one."""
    found = False
    for size in range(1, _LONGEST_MOVED + 1):
        for at in range(1, len(way) - size):
            found = _move_run(table, way, at, size) or found
    return found


def _move_run(table: Table, way: list[int], at: int, size: int) -> bool:
    """Take the run out and put it, either way round, where the way grows least."""
    run, rest = way[at : at + size], way[:at] + way[at + size :]
    first, last = run[0], run[-1]
    before, after = way[at - 1], way[at + size]
    saved = table[before][first] + table[last][after] - table[before][after]
    to_first, to_last = table[first], table[last]
    best, where, turned = saved - _GAIN, 0, False
    for place in range(1, len(rest)):
        a, b = rest[place - 1], rest[place]
        gap = table[a][b]
        ahead = to_first[a] + to_last[b] - gap
        back = to_last[a] + to_first[b] - gap
        if min(ahead, back) < best:
            best, where, turned = min(ahead, back), place, back < ahead
    if not where:
        return False
    way[:] = rest[:where] + (run[::-1] if turned else run) + rest[where:]
    return True


def cut_into_days(table: Table, tour: Sequence[int], days: int, per_day: int) -> list[list[int]]:
    """The tour cut into at most so many days of at most so many stops, so that all miles are fewest.

    Each day begins and ends at point 0. There must be room for all stops.

    Source: Beasley, Route first - cluster second methods for vehicle routing, Omega 11, 1983.
    """
    count = len(tour)
    along = [0.0]
    for a, b in pairwise(tour):
        along.append(along[-1] + table[a][b])

    def day(start: int, end: int) -> float:
        """The miles of the day that has the stops from the one up to, not including, the other."""
        out, home = table[0][tour[start]], table[tour[end - 1]][0]
        return out + along[end - 1] - along[start] + home

    # The fewest miles for the first so many stops, by the number of days, and where its last began.
    best: list[list[tuple[float, int]]] = [[(0.0, 0), *[(inf, 0)] * count]]
    for _ in range(min(days, count)):
        before = best[-1]
        row = [before[0]]
        for end in range(1, count + 1):
            cuts = range(max(0, end - per_day), end)
            row.append(min((before[cut][0] + day(cut, end), cut) for cut in cuts))
        best.append(row)
    used = min(range(len(best)), key=lambda n: (best[n][count][0], n))
    cut: list[list[int]] = []
    end = count
    for n in range(used, 0, -1):
        start = best[n][end][1]
        cut.append(list(tour[start:end]))
        end = start
    return cut[::-1]
