"""Labels beside a line, pushed apart so that none covers another, each as near its place as can be."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], gap: float, first: float, last: float) -> list[float]:
    """Places at least `gap` apart between `first` and `last`, in the order given.

    Of crowded ones the middle stays where it is wanted (least squares, by pooling neighbours).

    Parameters
    ----------
    wanted
        Where each would stand if it were alone, never falling.
    gap
        Least distance of two; less where there is not so much room.
    first, last
        Between which all stand.

    >>> spread([0, 10, 10, 50], 4, 0, 60), spread([58, 59, 60], 4, 0, 60)
    ([0.0, 8.0, 12.0, 50.0], [52.0, 56.0, 60.0])
    """
    if not wanted:
        return []
    gap = min(gap, (last - first) / max(len(wanted) - 1, 1))
    groups: list[tuple[float, int]] = []
    for n, place in enumerate(wanted):
        # What is left when every label above has its room taken off must never fall.
        mean, count = place - n * gap, 1
        while groups and groups[-1][0] > mean:
            above, many = groups.pop()
            mean, count = (above * many + mean * count) / (many + count), many + count
        groups.append((mean, count))
    most = last - (len(wanted) - 1) * gap
    means = [min(max(mean, first), most) for mean, count in groups for _ in range(count)]
    return [float(mean + n * gap) for n, mean in enumerate(means)]
