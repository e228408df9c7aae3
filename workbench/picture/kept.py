"""Results kept for the next time, as long as the picture or count they were made from is there.

An ordinary cache would hold on to pictures that have left the desk, gigabytes each.
"""

from __future__ import annotations

import functools
import weakref
from collections import OrderedDict
from collections.abc import Callable
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Result = TypeVar("Result")


def _is_itself(given) -> bool:
    """Whether it is compared by identity, as pictures and counts are."""
    return type(given).__eq__ is object.__eq__ and given is not None


def kept_while_open(
    maxsize: int,
) -> Callable[[Callable[Given, Result]], Callable[Given, Result]]:
    """A decorator as `functools.lru_cache`, but that it holds no picture or count it was given.

    The results must not hold it either.

    >>> @kept_while_open(maxsize=2)
    ... def size(picture):
    ...     print("worked out")
    ...     return picture.width_px, picture.height_px
    >>> size(picture), size(picture)
    worked out
    ((600, 400), (600, 400))
    """

    def wrap(function: Callable[Given, Result]) -> Callable[Given, Result]:
        kept: OrderedDict[tuple, Result] = OrderedDict()

        def forget(gone: weakref.ref) -> None:
            for key in list(kept):
                if any(each is gone for each in key):
                    kept.pop(key, None)

        @functools.wraps(function)
        def remembered(*args: Given.args, **named: Given.kwargs) -> Result:
            given = (*args, *sorted(named.items()))
            key = tuple(weakref.ref(x, forget) if _is_itself(x) else x for x in given)
            if key in kept:
                result = kept[key]
            else:
                result = function(*args, **named)
            # the newest last; a picture may go at any moment, and its results with it
            kept.pop(key, None)
            kept[key] = result
            while len(kept) > maxsize:
                kept.popitem(last=False)
            return result

        return remembered

    return wrap
