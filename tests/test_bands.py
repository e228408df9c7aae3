"""Work on a few threads: in order, not too far ahead, and given up when nobody asks."""

import subprocess
import sys
import threading
import time

import pytest

from workbench.bands import in_order, row_bands
from workbench.errors import Cancelled


@pytest.mark.parametrize("height, rows", [(1, 1), (10, 3), (9, 3), (5, 80)])
def test_bands_cover_all_rows_once(height, rows):
    bands = row_bands(height, rows)
    assert [y for first, stop in bands for y in range(first, stop)] == list(range(height))
    assert all(stop - first == rows for first, stop in bands[:-1])


@pytest.mark.parametrize("workers", [1, 2, 4])
@pytest.mark.parametrize("count", [0, 1, 2, 3, 25])
def test_results_come_in_order(workers, count):
    def work(item):
        # later ones finish first
        time.sleep(0.002 * (item % 3 == 0))
        return item * item

    told = []
    found = list(in_order(work, range(count), workers=workers, progress=told.append))
    assert found == [item * item for item in range(count)]
    assert told == [(done + 1) / count for done in range(count)]


def test_two_are_worked_on_at_once():
    both = threading.Barrier(2, timeout=5)
    assert len(list(in_order(lambda _: both.wait(), range(6), workers=2))) == 6


def test_no_more_is_taken_than_needed():
    taken = []

    def items():
        for item in range(20):
            taken.append(item)
            yield item

    for count, _ in enumerate(in_order(str, items(), workers=2)):
        assert len(taken) == min(20, count + 3)


def test_cancelling_stops_before_the_next_item():
    done = []
    asked = iter([False, False])
    with pytest.raises(Cancelled):
        list(in_order(done.append, range(100), cancelled=lambda: next(asked, True)))
    assert set(done) <= {0, 1}


def test_what_waits_is_given_up_with_the_caller():
    done, going, go_on = [], threading.Event(), threading.Event()

    def work(item):
        if item == 1:
            going.set()
            go_on.wait(5)
        done.append(item)

    results = in_order(work, range(100), workers=1)
    next(results)
    # one is at work, and no other has been handed out
    assert going.wait(5)
    go_on.set()
    results.close()
    assert done == [0, 1]


@pytest.mark.parametrize("bad", [0, 3])
def test_errors_come_out_and_end_the_work(bad):
    done = []

    def work(item):
        if item == bad:
            raise ValueError("this one")
        done.append(item)

    with pytest.raises(ValueError, match="this one"):
        list(in_order(work, range(100), workers=2))
    assert len(done) <= bad + 2


def test_a_script_that_ends_meanwhile_says_nothing():
    code = (
        "import threading, time\n"
        "from workbench.bands import in_order\n"
        "from workbench.errors import Cancelled\n"
        "def work(item):\n"
        "    time.sleep(0.01)\n"
        "def go():\n"
        "    try:\n"
        "        list(in_order(work, range(10_000)))\n"
        "    except Cancelled:\n"
        "        print('cancelled')\n"
        "threading.Thread(target=go).start()\n"
        "time.sleep(0.2)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert (done.stdout, done.stderr) == ("cancelled\n", "")
