"""Many pictures on several papers: the same figures as one by one, whatever happens on the way."""

from __future__ import annotations

import csv
import os
import re
import signal
import subprocess
import sys
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context

import numpy as np
import pytest
import tifffile

import workbench as wb
from workbench.colour.spaces import standard_profile
from workbench.errors import Cancelled, OutputError, WorkbenchError
from workbench.surveys import judging, many
from workbench.surveys.judging import KEYS


class Here(Executor):
    """Does the work at once, where it is asked for."""

    _max_workers = 1

    def submit(self, function, *given, **named):
        done = Future()
        try:
            done.set_result(function(*given, **named))
        except BaseException as problem:
            done.set_exception(problem)
        return done


def save(path, seed, profile="ROMM RGB", size=(60, 40)):
    pixels = np.random.default_rng(seed).integers(0, 65536, (*size, 3), dtype=np.uint16)
    extra = {"iccprofile": standard_profile(profile)} if profile else {}
    tifffile.imwrite(path, pixels, photometric="rgb", **extra)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("many")
    for number in range(9):
        where = folder / ("a" if number % 2 else "b")
        where.mkdir(exist_ok=True)
        save(where / f"{number}.tif", number)
    save(folder / "plain.tif", 20, profile=None)
    (folder / "broken.tif").write_bytes(b"II*\0 and no more")
    (folder / "notes.txt").write_text("not a picture")
    return folder


@pytest.fixture(scope="module")
def two(folder):
    return wb.demo_papers()[:2]


@pytest.fixture(scope="module")
def whole(folder, two):
    return wb.survey(folder, two, Here(), ppi=300)


def test_the_figures_are_those_of_one_picture_alone(whole, folder, two):
    rows = whole.table()
    assert len(rows) == 9 * 2
    path = str(folder / "a" / "3.tif")
    picture = wb.open_picture(path)
    for paper in two:
        (row,) = [r for r in rows if r["picture"] == path and r["paper"] == paper.name]
        report, black = wb.gamut_report(picture, paper), wb.black_point(paper, picture)
        assert row["share_outside"] == report.share_outside > 0
        assert row["share_too_dark"] == report.share_too_dark
        assert row["share_merged"] == black.share_merged
        assert row["black_density"] == black.black_density
        assert row["width_mm"] == wb.print_size(picture, ppi=300).width_mm
        assert row["surface_texture"] == paper.surface_texture


def test_what_fails_is_listed_and_costs_nothing_else(whole, folder):
    why = dict(whole.failures)
    assert set(why) == {str(folder / "plain.tif"), str(folder / "broken.tif")}
    assert "profile" in why[str(folder / "plain.tif")]
    assert whole.sentence == "9 pictures judged on 2 papers; 2 could not be judged."


def test_pictures_without_a_profile_are_judged_when_one_is_assumed(folder, two):
    done = wb.survey([folder / "plain.tif"], two, Here(), assume_profile="sRGB")
    assert not done.failures and len(done.table()) == 2


def test_a_pool_of_processes_says_the_same(whole, folder, two):
    told = []
    done = wb.survey(folder, two, ppi=300, progress=told.append)
    assert done.table() == whole.table()
    assert told == sorted(told) and told[0] == 0 and told[-1] == 1


def test_it_goes_on_where_it_was_stopped(whole, folder, two, tmp_path, monkeypatch):
    kept, asked = tmp_path / "kept.jsonl", []
    honest = judging._figures

    def counting(path, *given):
        asked.append(path)
        return honest(path, *given)

    monkeypatch.setattr(judging, "_figures", counting)
    monkeypatch.setattr(many, "_HANDFUL", 1)
    with pytest.raises(Cancelled):
        wb.survey(folder, two, Here(), ppi=300, keep_in=kept, cancelled=lambda: len(asked) >= 3)
    first = len(asked)
    assert 3 <= first < 11
    with kept.open("ab") as file:
        file.write(b'{"path": "half a line')  # as a process that was killed leaves it
    done = wb.survey(folder, two, Here(), ppi=300, keep_in=kept)
    assert sorted(asked) == sorted(done.pictures)  # each once
    assert done.table() == whole.table()
    again = wb.survey(folder, two, Here(), ppi=300, keep_in=kept)
    assert len(asked) == 11 and again.table() == whole.table()


@pytest.mark.slow
def test_killed_half_way_it_gives_the_same_table(whole, folder, two, tmp_path):
    kept = tmp_path / "kept.jsonl"
    code = (
        "import sys, workbench as wb\n"
        "from concurrent.futures import ThreadPoolExecutor\n"
        "def told(share):\n"
        "    print(share, flush=True)\n"
        "wb.survey(sys.argv[1], wb.demo_papers()[:2], ThreadPoolExecutor(1), ppi=300,\n"
        "          keep_in=sys.argv[2], progress=told)\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code, str(folder), str(kept)], stdout=subprocess.PIPE, text=True
    )
    for line in process.stdout:
        if float(line) > 0.2:
            process.kill()
    assert process.wait() == -signal.SIGKILL
    found = kept.read_bytes().count(b"\n") - 1
    assert 0 < found < 11
    assert wb.survey(folder, two, Here(), ppi=300, keep_in=kept).table() == whole.table()


def test_a_picture_that_changed_is_judged_again(two, tmp_path):
    save(tmp_path / "one.tif", 1)
    save(tmp_path / "two.tif", 2)
    kept = tmp_path / "kept.jsonl"
    before = wb.survey(tmp_path, two, Here(), keep_in=kept).table()
    save(tmp_path / "two.tif", 3, size=(80, 50))
    after = wb.survey(tmp_path, two, Here(), keep_in=kept).table()
    assert after[:2] == before[:2] and after[2:] != before[2:]
    assert after[2]["height_px"] == 80


def test_answers_to_another_question_are_not_mixed_in(folder, two, tmp_path):
    kept = tmp_path / "kept.jsonl"
    wb.survey([folder / "a" / "1.tif"], two, Here(), keep_in=kept)
    for papers, threshold in ((two[:1], None), (two, 4.0)):
        with pytest.raises(OutputError, match="other papers or other settings"):
            wb.survey(folder, papers, Here(), keep_in=kept, threshold=threshold)
    (tmp_path / "mine.txt").write_text("a letter")
    with pytest.raises(OutputError, match="not a survey of ours"):
        wb.survey(folder, two, Here(), keep_in=tmp_path / "mine.txt")
    assert (tmp_path / "mine.txt").read_text() == "a letter"


def test_damaged_lines_are_judged_again(whole, folder, two, tmp_path):
    kept = tmp_path / "kept.jsonl"
    wb.survey(folder, two, Here(), ppi=300, keep_in=kept)
    lines = kept.read_bytes().split(b"\n")
    random = np.random.default_rng(7)
    for number in random.choice(np.arange(1, len(lines) - 1), 6, replace=False):
        line = bytearray(lines[number])
        for at in random.integers(0, len(line), 5):
            line[at] = random.integers(32, 127)
        lines[number] = bytes(line)
    lines[1] = b'{"path": 3, "stamp": [1e400], "rows": [[null]], "failure": "", "thumb": ""}'
    lines[2] = b"[" * 100_000
    kept.write_bytes(b"\n".join(lines))
    done = wb.survey(folder, two, Here(), ppi=300, keep_in=kept)
    assert done.sentence == whole.sentence
    values = [[row[key] for key in KEYS[7:]] for row in done]
    assert np.isfinite([v for row in values for v in row if isinstance(v, float)]).all()


def test_a_broken_executor_is_told_and_what_was_found_is_kept(folder, two, tmp_path):
    class Broken(Here):
        left = 1

        def submit(self, function, *given, **named):
            if not self.left:
                raise BrokenProcessPool
            self.left -= 1
            return super().submit(function, *given, **named)

    kept = tmp_path / "kept.jsonl"
    with pytest.raises(WorkbenchError, match="keep_in to go on"):
        wb.survey(folder, two, Broken(), keep_in=kept)
    # the heading, and the only handful that came through
    assert 2 <= kept.read_bytes().count(b"\n") < 1 + 11


def end_process(*_):
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.mark.long
def test_a_picture_that_ends_its_process_is_given_up_alone(folder, two, monkeypatch):
    deadly = str(folder / "a" / "5.tif")
    pools = []

    class Pool(ProcessPoolExecutor):
        def __init__(self, **_):
            super().__init__(2, mp_context=get_context("spawn"))
            pools.append(self)

        def submit(self, function, some, *given):
            kill = any(path == deadly for path, _ in some)
            return super().submit(end_process if kill else function, some, *given)

    monkeypatch.setattr(many, "ProcessPoolExecutor", Pool)
    done = wb.survey(folder, two)
    assert "came to an end twice" in dict(done.failures)[deadly]
    assert len(done.failures) == 3 and len(done.table()) == 8 * 2 and len(pools) > 1


@pytest.mark.slow
def test_a_cluster_says_the_same_when_a_worker_is_killed(whole, folder, two):
    import distributed

    cluster = distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    )
    with cluster, distributed.Client(cluster) as client:
        pids = list(client.run(os.getpid).values())
        killed = []

        def told(share):
            if share > 0.05 and not killed:
                killed.append(pids[0])
                os.kill(pids[0], signal.SIGKILL)

        done = wb.survey(folder, two, client.get_executor(), ppi=300, progress=told)
    assert killed and done.table() == whole.table()


def test_tables_hold_every_row(whole, tmp_path):
    path = whole.write_csv(tmp_path / "found.csv")
    with path.open(encoding="utf-8-sig", newline="") as file:
        titles, *lines = csv.reader(file)
    assert titles[0] == "Picture" and len(lines) == 18
    assert float(lines[3][7]) == whole.table()[3]["share_outside"]
    from pyarrow import parquet

    path = whole.write_parquet(tmp_path / "found.parquet")
    assert parquet.read_table(path).to_pylist() == whole.table()
    with pytest.raises(OutputError, match="already"):
        whole.write_parquet(path)


def test_the_page_has_those_with_most_first(whole, tmp_path, two):
    text = whole.write_page(tmp_path / "page.html", by="share_outside", most=4).read_text()
    for paper, part in zip(two, text.split("<h2>")[1:], strict=False):
        shares = [float(found) for found in re.findall(r"<b>([\d.]+) %", part)]
        rows = [r["share_outside"] for r in whole if r["paper"] == paper.name]
        assert np.allclose(shares, [round(100 * x, 1) for x in sorted(rows)[::-1][:4]])
    assert "<script" not in text and "Content-Security-Policy" in text
    assert f"further out than {whole.threshold:g} CIEDE2000" in text
    by_size = whole.write_page(tmp_path / "size.html", by="width_mm").read_text()
    assert "CIEDE2000" not in by_size
    with pytest.raises(WorkbenchError, match="Sort by one of"):
        whole.write_page(tmp_path / "other.html", by="picture")


def test_names_of_files_are_words_on_the_page(two, tmp_path):
    folder = tmp_path / "many"
    folder.mkdir()
    save(folder / "<img src=x onerror=alert(1)>.tif", 1)
    text = wb.survey(folder, two, Here()).write_page(tmp_path / "page.html").read_text()
    assert "<img src=x" not in text and "&lt;img src=x" in text


@pytest.mark.parametrize(
    "pictures, words", [([], "no picture"), ("nowhere", "no folder"), ("empty", "no picture in")]
)
def test_nothing_to_judge_is_told(pictures, words, two, tmp_path):
    (tmp_path / "empty").mkdir()
    given = tmp_path / pictures if isinstance(pictures, str) else pictures
    with pytest.raises(WorkbenchError, match=words):
        wb.survey(given, two, ThreadPoolExecutor(1))


def test_papers_need_profiles(folder):
    with pytest.raises(WorkbenchError, match="no paper"):
        wb.survey(folder, [])


@pytest.mark.slow
def test_the_command_writes_table_and_page_and_goes_on(folder, two, tmp_path, capsys):
    from workbench.launch.command import main

    (tmp_path / "paper.icc").write_bytes(two[0].profile)
    given = ["survey", str(folder), "--paper", str(tmp_path / "paper.icc")]
    assert main([*given, "--to", str(tmp_path / "to"), "--assume", "sRGB"]) == 0
    said = capsys.readouterr().out
    assert "10 pictures judged on 1 paper; 1 could not be judged." in said and "100 %" in said
    assert len((tmp_path / "to" / "survey.csv").read_text("utf-8-sig").splitlines()) == 11
    before = (tmp_path / "to" / "survey.jsonl").stat().st_mtime_ns
    assert main([*given, "--to", str(tmp_path / "to"), "--assume", "sRGB"]) == 0
    assert (tmp_path / "to" / "survey.jsonl").stat().st_mtime_ns == before
    assert main(["survey", str(tmp_path / "gone"), *given[2:], "--to", str(tmp_path)]) == 1
    assert "no folder" in capsys.readouterr().err
