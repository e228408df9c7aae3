"""A class on one server: memory, start, who sees what, and what idle students lose (nothing)."""

from __future__ import annotations

import os
import re
import signal
import time
import urllib.error
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import numpy as np
import psutil
import pytest
import tifffile
import websocket
from library.makers import VERSION_LINE, entry, put_profile, put_shelf
from PIL import Image
from serving.clients import Client, Student

from workbench.colour.spaces import standard_profile
from workbench.plan import Plan
from workbench.plan_file.in_progress import Keeper
from workbench.serving.settings import SHELF_VARIABLE

SLIDER = {"_model_name": "FloatSliderModel", "value": 360.0}


@pytest.fixture
def shelf(tmp_path):
    folder = put_shelf(tmp_path / "shelf", VERSION_LINE + entry("Invented Heath", "", "heath.icc"))
    put_profile(folder, "heath.icc")
    return folder


@pytest.fixture
def picture(tmp_path):
    """24 megapixels of 16 bits."""
    across = np.linspace(0, 65535, 6000).astype(np.uint16)
    rows = np.broadcast_to(across[None, :, None], (4000, 6000, 3)).copy()
    rows[..., 1] //= 2
    path = tmp_path / "large.tif"
    tifffile.imwrite(path, rows, photometric="rgb", iccprofile=standard_profile("sRGB"))
    return path


@pytest.fixture
def seat(tmp_path):
    seated = []

    def seat(name, **options) -> Student:
        seated.append(Student(tmp_path / "homes" / name, **options))
        return seated[-1]

    yield seat
    for each in seated:
        each.close()


def at_the_desk(student: Student, picture="", ppi: float = 200) -> Client:
    """Its kernel with the desk, whose resolution is set as by the slider."""
    (kernel,) = student.wait_for_kernels()
    client = Client(student.port, student.token, kernel["id"])
    client.run(f"import workbench as wb\nwb.desk({str(picture) or None!r})")
    client.set(client.widget(**SLIDER), value=ppi)
    client.wait(lambda: f"At {ppi:.0f} ppi this prints" in client.texts())
    return client


def small_picture(folder: Path) -> Path:
    path = folder / "small.png"
    Image.new("RGB", (600, 400), "teal").save(path, icc_profile=standard_profile("sRGB"))
    return path


def seen_by_others(home: Path) -> list[Path]:
    """Files below a home that other accounts could read, were the home open to them."""
    return [
        path
        for path in home.rglob("*")
        # a copy of what IPython comes with, and this test's own
        if path.name not in ("README", "server.log")
        and path.is_file()
        and path.stat().st_mode & 0o077
    ]


@pytest.mark.slow
def test_five_students_have_memory_files_and_answers_of_their_own(seat, shelf, picture):
    files = {path: path.read_bytes() for path in shelf.rglob("*") if path.is_file()}
    begun = time.monotonic()
    students = [seat(f"student{n}", shelf=shelf) for n in range(5)]
    clients = [at_the_desk(each, picture, 200 + n) for n, each in enumerate(students)]
    took = time.monotonic() - begun
    time.sleep(4)  # the exact count, and code that is loaded later
    for number, (student, client) in enumerate(zip(students, clients, strict=True)):
        work = sum(sum(psutil.Process(pid).cpu_times()[:2]) for pid in student.pids())
        print(f"student {number}: {student.memory() / 2**20:.0f} MB, {work:.1f} s of a processor; "
              f"all are there after {took:.1f} s")  # fmt: skip
        assert student.memory() < 350 * 2**20
        assert "Invented Heath" in str(client.states.values())
        assert not client.foreign
        own = [each["name"] for each in student.ask("contents")["content"]]
        assert "my-desk.ipynb" in own and not any("student" in name for name in own)
        other = students[number - 1]
        with pytest.raises(urllib.error.HTTPError, match="403"):
            student.ask("contents", token=other.token)
        with pytest.raises(websocket.WebSocketBadStatusException, match="403"):
            Client(student.port, other.token, student.ask("kernels")[0]["id"])
        with pytest.raises(urllib.error.HTTPError, match="40[04]"):
            student.ask(f"contents/..%2f..%2f{other.home.name}")
        assert seen_by_others(student.home) == []
        shown = [word for pid in student.pids() for word in psutil.Process(pid).cmdline()]
        assert not any(student.token in word for word in shown)
    assert {path: path.read_bytes() for path in shelf.rglob("*") if path.is_file()} == files


@pytest.mark.long
def test_idle_students_end_and_lose_nothing(seat):
    student = seat("student", idle_s=8)
    at_the_desk(student, small_picture(student.home), ppi=231).socket.close()
    assert student.process.wait(90) == 0
    root = student.home / ".local/share/print-planning-workbench/plans in progress"
    (kept,) = Keeper(root).others()
    plan = Plan()
    kept.take_up(plan)
    assert plan.ppi == 231 and not kept.in_use


@pytest.mark.long
def test_a_server_that_is_held_up_drops_no_answer(seat):
    """As on a busy computer: what the kernel sends meanwhile is more than queues usually hold."""
    student = seat("student")
    (kernel,) = student.wait_for_kernels()
    client = Client(student.port, student.token, kernel["id"])
    client.run("import workbench as wb")
    asked = client.send("execute_request", {"code": "for _ in range(3): display(wb.desk())"})
    time.sleep(1)
    os.kill(student.process.pid, signal.SIGSTOP)
    time.sleep(25)
    os.kill(student.process.pid, signal.SIGCONT)
    client.socket.settimeout(60)
    while True:
        message = client.receive()
        if message["content"].get("execution_state") == "idle":
            if message["parent_header"].get("msg_id") == asked:
                break


@pytest.mark.long
def test_a_crowd_on_one_server_gets_each_its_own_answers(seat):
    """``WORKBENCH_CROWD=30`` makes it as large as a class."""
    count = int(os.environ.get("WORKBENCH_CROWD", "3"))
    student = seat("crowd")
    small = small_picture(student.home)
    student.wait_for_kernels()
    all_there = Barrier(count)

    def sit(number: int) -> float:
        """One page of many; gives the seconds that 20 moves took."""
        kernel = student.ask("kernels", method="POST", body={"name": "python3"})
        client = Client(student.port, student.token, kernel["id"])
        client.run(f"import workbench as wb\nwb.desk({str(small)!r})")
        client.wait(lambda: "At 360 ppi this prints" in client.texts(), 300)
        slider, own = client.widget(**SLIDER), 100 + 10 * number
        all_there.wait()
        begun = time.monotonic()
        for step in range(20):
            client.set(slider, value=float(own + step % 10))
        client.wait(lambda: f"At {own + 9} ppi this prints" in client.texts(), 300)
        took = time.monotonic() - begun
        client.run("pass")  # what still was on its way has come
        assert f"At {own + 9} ppi this prints" in client.texts() and not client.foreign
        said = {int(ppi) for ppi in re.findall(r"At (\d+) ppi this prints", client.heard)}
        assert said <= {360, *range(own, own + 10)}
        return took

    with ThreadPoolExecutor(count) as pool:
        took = sorted(pool.map(sit, range(count)))
    sizes = sorted(student.memory_of_each().values())
    print(f"{count} kernels: {sum(sizes) / 2**20:.0f} MB, the middle one "
          f"{sizes[len(sizes) // 2] / 2**20:.0f} MB; 20 moves of each answered after "
          f"{took[len(took) // 2]:.1f} s, at most {took[-1]:.1f} s")  # fmt: skip


def test_the_hub_is_told_to_answer_on_this_computer_alone(shelf):
    from traitlets.config import Config

    from workbench.errors import FileError
    from workbench.serving import serve_class

    config = Config()
    serve_class(config, shelf=shelf, idle_s=600)
    assert config.JupyterHub.bind_url.startswith("http://127.0.0.1:")
    assert config.JupyterHub.hub_ip == config.Spawner.ip == "127.0.0.1"
    assert config.Spawner.environment[SHELF_VARIABLE] == str(shelf)
    with pytest.raises(FileError, match="make it first"):
        serve_class(Config(), shelf=shelf / "nowhere")
