"""Many writers at once, and writers that are killed: nothing that was kept is lost."""

import json
import subprocess
import sys
import threading
from pathlib import Path

from record.makers import note

from workbench.errors import RecordError
from workbench.record import Record, open_record

ROOT = Path(__file__).parents[2]

WRITER = """
import sys
from workbench.record import PrintNote, open_record
path, who, count = sys.argv[1:]
record = open_record(path)
for number in range(int(count)):
    record.add(PrintNote(picture_name=f"{who} {number}", paper_name=who, notes="x" * 500))
"""

# Starts a writer again and again and kills it at a random moment.  What the writer says
# after a note is kept goes through a pipe, so that the nursery knows what must be there.
NURSERY = """
import json, os, random, signal, sys, time
from workbench.record import PrintNote, open_record
path, kills = sys.argv[1], int(sys.argv[2])
rng = random.Random(5)
promised, journals, without = [], 0, 0
usual_s = 0.005  # between two lines of a writer, on this machine at this moment

def write(pipe, round):
    record = open_record(path)
    for number in range(10_000):
        kept = record.add(PrintNote(
            picture_name=f"{round}-{number}", paper_name="killed", plan_text="p" * 20_000))
        os.write(pipe, f"{kept.id} {round}-{number}\\n".encode())
        record.change(kept.id, notes="changed")
        os.write(pipe, f"{kept.id} changed\\n".encode())

for round in range(kills):
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(out)
        write(into, round)
        os._exit(0)
    os.close(into)
    said, wanted, begun = b"", rng.randrange(4), time.monotonic()
    while said.count(b"\\n") < wanted:
        if not (piece := os.read(out, 65536)):
            sys.exit("the writer could not write")
        said += piece
    if wanted:
        usual_s = 0.8 * usual_s + 0.2 * (time.monotonic() - begun) / wanted
    time.sleep(rng.uniform(0, 1.5 * usual_s))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while piece := os.read(out, 65536):
        said += piece
    os.close(out)
    lines = said.decode().splitlines()
    promised += lines
    without += not lines
    # a writer that died in the middle of a note leaves SQLite's journal to be undone
    journals += os.path.exists(path + "-journal")
print(json.dumps({"promised": promised, "journals": journals, "without": without}))
"""


def run(code, *args):
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, args)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def finished(process, seconds):
    """What it printed; ends it where it takes too long."""
    try:
        out, error = process.communicate(timeout=seconds)
    finally:
        process.kill()
    assert process.returncode == 0, error
    return out


def test_two_processes_of_500_notes_each_lose_nothing(tmp_path):
    path = tmp_path / "prints.sqlite"
    both = [run(WRITER, path, who, 500) for who in ("left", "right")]
    for process in both:
        finished(process, 120)
    record = open_record(path)
    for who in ("left", "right"):
        found = {each.picture_name for each in record.search(paper=who)}
        assert found == {f"{who} {number}" for number in range(500)}
    record.check()


def test_threads_lose_nothing_and_no_number_is_given_twice(tmp_path):
    record = Record(tmp_path / "prints.sqlite")
    given, refused = [], []

    def work(who):
        for _ in range(25):
            number = record.next_edition_number("harbour.tif", 1000)
            try:
                given.append(record.add(note(edition_number=number, edition_of=1000)))
            except RecordError:  # another thread was quicker
                refused.append(number)

    threads = [threading.Thread(target=work, args=(who,)) for who in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(given) + len(refused) == 150 and record.count() == len(given)
    # whatever the order: 1, 2, 3 … without a gap and without a second one
    assert sorted(each.edition_number for each in given) == list(range(1, len(given) + 1))
    assert {each.id for each in record.search()} == {each.id for each in given}


def test_killed_two_hundred_times_a_writer_loses_nothing_it_had_kept(tmp_path):
    path = tmp_path / "prints.sqlite"
    said = json.loads(finished(run(NURSERY, path, 200), 240))
    # the kills came before, while and after notes were written
    assert said["without"] and said["journals"] and len(said["promised"]) > 200, said
    record = open_record(path)
    found = {each.id: each for each in record.search()}
    for line in said["promised"]:
        number, what = line.split()
        kept = found[int(number)]
        assert kept.notes == "changed" if what == "changed" else kept.picture_name == what
    # notes are there whole or not at all
    assert {len(each.plan_text) for each in found.values()} == {20_000}
    record.check()
    record.add(note())
