"""Going through a picture in bands of rows, a few at work at once, results in order."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sized
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar, cast

from workbench.errors import Cancelled

Item = TypeVar("Item")
Result = TypeVar("Result")

WORKERS = max(1, min(2, os.cpu_count() or 1))


def row_bands(height: int, rows: int) -> list[tuple[int, int]]:
    """Rows (first, stop) of bands from the top, each of ``rows`` rows but the last.

    Examples
    --------
    >>> row_bands(10, 4)
    [(0, 4), (4, 8), (8, 10)]
    """
    return [(y, min(y + rows, height)) for y in range(0, height, rows)]


def in_order(
    work: Callable[[Item], Result],
    items: Iterable[Item],
    *,
    workers: int = WORKERS,
    cancelled: Callable[[], bool] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Iterator[Result]:
    """Yield ``work(item)`` of every item, in order, on threads of their own.

    Worth it where the work lets go of the interpreter's lock, as numpy, zlib and the colour
    engine do.  What waits is given up as soon as the caller stops asking.

    Parameters
    ----------
    items : taken one by one in the caller's thread, at most ``workers + 1`` ahead of the
        results taken, so that memory stays bounded.
    workers : how many are worked on at once.
    cancelled : asked before each item and each result.
    progress : called with the fraction of items done, 0..1; ``items`` then has a length.

    Raises
    ------
    Cancelled
        as soon as ``cancelled()`` is true.

    Examples
    --------
    >>> list(in_order(abs, [-3, 1, -2]))
    [3, 1, 2]
    """
    waiting: deque[Future[Result]] = deque()
    done = 0

    def check() -> None:
        if cancelled is not None and cancelled():
            raise Cancelled

    def take() -> Result:
        nonlocal done
        result = waiting.popleft().result()
        done += 1
        if progress is not None:
            progress(done / len(cast(Sized, items)))
        return result

    with ThreadPoolExecutor(workers, thread_name_prefix="bands") as pool:
        try:
            for item in items:
                check()
                try:
                    waiting.append(pool.submit(work, item))
                except RuntimeError as problem:
                    # the script has come to its end meanwhile; the pool itself is open here
                    if "shutdown" in str(problem):
                        raise Cancelled from None
                    raise
                if len(waiting) > workers:
                    yield take()
            while waiting:
                check()
                yield take()
        finally:
            for future in waiting:
                future.cancel()
