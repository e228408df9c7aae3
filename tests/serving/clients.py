"""Students' servers as a spawner starts them, and clients that talk to kernels as pages do."""

from __future__ import annotations

import json
import os
import secrets
import struct
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid
from pathlib import Path

import websocket
from browser.lab import free_port

import workbench
from workbench.serving import class_environment


class Student:
    """A server of one student's, in a home of its own."""

    def __init__(self, home: Path, *, shelf=None, idle_s=3600):
        self.home, self.token, self.port = home, secrets.token_hex(16), free_port()
        home.mkdir(parents=True)
        kept = {name: os.environ[name] for name in ("PATH", "LANG") if name in os.environ}
        environment = {
            **kept,
            **class_environment(shelf, idle_s),
            "HOME": str(home),
            "PYTHONPATH": str(Path(workbench.__file__).parent.parent),
            "JUPYTER_TOKEN": self.token,
        }
        self.log = open(home / "server.log", "wb")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "workbench.serving.student", str(self.port)],
            env=environment, cwd=home, stdout=self.log, stderr=self.log, start_new_session=True,
        )  # fmt: skip

    def ask(self, path: str, token: str | None = None, method="GET", body=None):
        """What the server's API answers; HTTPError where it refuses."""
        request = urllib.request.Request(
            f"http://127.0.0.1:{self.port}/api/{path}",
            headers={"Authorization": f"token {token or self.token}"},
            method=method,
            data=None if body is None else json.dumps(body).encode(),
        )
        with urllib.request.urlopen(request, timeout=300) as answer:
            text = answer.read()
        return json.loads(text) if text else None

    def wait_for_kernels(self, count=1, within_s=60.0) -> list[dict]:
        """Its kernels, once there are so many."""
        end = time.monotonic() + within_s
        while True:
            try:
                found = self.ask("kernels")
                if len(found) == count:
                    return found
            except (urllib.error.URLError, ConnectionError):
                found = []
            if time.monotonic() > end or self.process.poll() is not None:
                said = (self.home / "server.log").read_text()[-2000:]
                raise TimeoutError(f"{len(found)} kernels instead of {count}: {said}")
            time.sleep(0.1)

    def pids(self) -> list[int]:
        """The server and all below it."""
        import psutil

        me = psutil.Process(self.process.pid)
        return [me.pid, *(each.pid for each in me.children(recursive=True))]

    def memory_of_each(self) -> dict[int, int]:
        """Bytes by process; what several share is divided among them."""
        return {pid: proportional(pid) for pid in self.pids()}

    def memory(self) -> int:
        return sum(self.memory_of_each().values())

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.terminate()
            try:
                self.process.wait(20)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()
        self.log.close()


def proportional(pid: int) -> int:
    """Proportional set size in bytes (proc(5), Linux man-pages)."""
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    return sum(int(line.split()[1]) * 1024 for line in lines if line.startswith("Pss:"))


class Client:
    """One page's connection to a kernel; keeps every widget's state as the page would."""

    def __init__(self, port: int, token: str, kernel: str):
        self.session = uuid.uuid4().hex
        self.socket = websocket.create_connection(
            f"ws://127.0.0.1:{port}/api/kernels/{kernel}/channels?session_id={self.session}",
            header=[f"Authorization: token {token}"],
            timeout=600,
        )
        self.states: dict[str, dict] = {}
        self.foreign: list[str] = []
        self.heard = ""  # all that widgets ever said

    def send(self, kind: str, content: dict, channel="shell") -> str:
        header = {"msg_id": uuid.uuid4().hex, "session": self.session, "username": "student",
                  "msg_type": kind, "version": "5.3"}  # fmt: skip
        message = {"header": header, "parent_header": {}, "metadata": {}, "content": content,
                   "channel": channel}  # fmt: skip
        self.socket.send(json.dumps(message))
        return header["msg_id"]

    def receive(self) -> dict:
        frame = self.socket.recv()
        if isinstance(frame, bytes):  # with buffers: offsets of the message and of each
            (count,) = struct.unpack_from(">I", frame)
            first, second = struct.unpack_from(">II", frame, 4) if count > 1 else (8, len(frame))
            frame = frame[first:second]
        message = json.loads(frame)
        content = message["content"]
        # what answers somebody else's request is not for this page alone
        asked_by = message["parent_header"].get("session", self.session)
        if message["channel"] == "shell" and asked_by != self.session:
            self.foreign.append(message["msg_type"])
        if message["msg_type"] == "comm_open":
            self.states[content["comm_id"]] = content["data"].get("state", {})
        elif message["msg_type"] == "comm_msg" and content["data"].get("method") == "update":
            self.states.setdefault(content["comm_id"], {}).update(content["data"]["state"])
            self.heard += str(content["data"]["state"].get("value", ""))
        elif message["msg_type"] == "error":
            raise AssertionError("\n".join(content["traceback"]))
        return message

    def run(self, code: str) -> str:
        """Run code, and give back what it printed."""
        asked, printed = self.send("execute_request", {"code": code, "silent": False}), ""
        answered = idle = False
        while not (answered and idle):
            message = self.receive()
            if message["parent_header"].get("msg_id") != asked:
                continue
            answered |= message["msg_type"] == "execute_reply"
            idle |= message["content"].get("execution_state") == "idle"
            if message["msg_type"] == "stream":
                printed += message["content"]["text"]
        return printed

    def set(self, comm: str, **state) -> None:
        """Move a widget, as the page does."""
        self.send("comm_msg", {"comm_id": comm, "data": {"method": "update", "state": state,
                                                         "buffer_paths": []}})  # fmt: skip

    def widget(self, **wanted) -> str:
        """The one widget in whose state these values stand."""
        (found,) = [
            comm for comm, state in self.states.items()
            if all(state.get(name) == value for name, value in wanted.items())
        ]  # fmt: skip
        return found

    def wait(self, true, within_s=60.0) -> None:
        """Receive until ``true()``."""
        end = time.monotonic() + within_s
        while not true():
            assert time.monotonic() < end, "the answer has not come"
            self.receive()

    def texts(self) -> str:
        """All that the widgets say."""
        return " ".join(str(state.get("value", "")) for state in self.states.values())
