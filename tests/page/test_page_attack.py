"""What could stop or break the page: slow clients, crowds, huge bodies, garbage."""

import json
import os
import random
import re
import shutil
import socket
import string
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import httpx
import pytest

from loop.page import connections, guard
from loop.page.workers import Workers
from loop.words.page import SAY
from tests.page.asking import TOKEN, Reader, listening
from tests.page.conftest import Started

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
KITTIWAKE = (EXAMPLES / "kittiwake.toml").read_text(encoding="utf-8")
# Timeouts and limits of the page in these tests; the long run uses the program's own.
SHORT, FEW = 0.4, 20


@pytest.fixture
def port(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """A page with short timeouts."""
    monkeypatch.setattr(connections, "_HEADER_SECONDS", SHORT)
    monkeypatch.setattr(connections, "_MOST_WAITING", FEW)
    monkeypatch.setattr(guard, "_BODY_SECONDS", SHORT)
    (tmp_path / "kittiwake.toml").write_text(KITTIWAKE, encoding="utf-8")
    with listening(tmp_path) as port:
        yield port


def connected(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=20)


def closed_after(one: socket.socket) -> float:
    """Seconds until the other side closes the connection."""
    start = time.monotonic()
    try:
        while one.recv(65536):
            pass
    except ConnectionError:
        pass
    return time.monotonic() - start


def alive(port: int) -> bool:
    """Whether a person still gets the page."""
    return httpx.get(f"http://127.0.0.1:{port}/", timeout=10).status_code == 200


def head(port: int, length: int, token: str = TOKEN) -> bytes:
    return (
        f"POST /api/answer HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nx-loop-token: {token}\r\n"
        f"content-length: {length}\r\n\r\n"
    ).encode()


def test_who_sends_its_headers_slowly_is_let_go(port: int) -> None:
    with connected(port) as slow:
        slow.sendall(b"GET / HTTP/1.1\r\nhost: 127")
        assert closed_after(slow) < 10 * SHORT
    with connected(port) as second:
        second.sendall(f"GET / HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\n\r\nGET /".encode())
        assert closed_after(second) < 20  # its second request never comes
    assert alive(port)


def test_who_sends_its_body_slowly_is_told_and_let_go(port: int) -> None:
    with connected(port) as slow:
        slow.sendall(head(port, 1000) + b"{")
        assert b" 408 " in slow.recv(65536)
    assert alive(port)


def test_a_crowd_that_says_nothing_keeps_nobody_out(port: int) -> None:
    crowd = [connected(port) for _ in range(5 * FEW)]
    start = time.monotonic()
    assert alive(port)
    assert time.monotonic() - start < 5
    for one in crowd:
        one.close()


@pytest.mark.parametrize(("token", "status"), [(TOKEN, b" 413 "), ("wrong", b" 403 ")])
def test_a_huge_body_is_not_read_to_its_end(port: int, token: str, status: bytes) -> None:
    sent = 0
    with connected(port) as one:
        one.sendall(head(port, 100_000_000, token))
        answer = b""
        try:
            for _ in range(100):
                sent += one.send(b"x" * 1_000_000)
            answer = one.recv(65536)
        except OSError:
            pass
        assert sent < 100_000_000 or status in answer
    assert alive(port)


LINE = '[[part]]\nkind = "hose"\nlength = "3 ft"\nto = "{height} in"\n'


def test_a_question_whose_reader_has_gone_is_dropped(tmp_path: Path) -> None:
    # A line of hundreds of high points takes minutes.
    where = KITTIWAKE.index('[[part]]\nkind = "condenser"')
    hoses = "\n".join(LINE.format(height=20 + 9 * (i % 2)) for i in range(900))
    text = KITTIWAKE[:where] + hoses + LINE.format(height=10) + KITTIWAKE[where:]
    workers, start = Workers(tmp_path), time.monotonic()
    try:
        with pytest.raises(Exception, match=re.escape(SAY("too-long"))):
            workers.ask("answer", {"text": text}, lambda: time.monotonic() > start + 1)
        assert time.monotonic() - start < 15
        # The next question is answered by a new process.
        assert workers.ask("answer", {"text": KITTIWAKE})["check"]["verdict"] == "good"
    finally:
        workers.stop()


# Garbage over all routes --------------------------------------------------------------------

NAMES = ("kittiwake.toml", "../kittiwake.toml", "%2e%2e%2fx.toml", "nul.toml", "/etc/passwd", "x")
GETS = ("/", "/show", "/pump", "/lessons", "/drill", "/nowhere", "/lesson/1", "/lesson/99")
FILES = ("/bench/", "/show/", "/api/file/", "/static/")
BODIES: dict[str, dict[str, Any]] = {
    "answer": {"text": KITTIWAKE, "edits": [], "what_if": []},
    "act": {"text": KITTIWAKE, "finding": 0, "action": 0, "words": "x"},
    "save": {"name": "kittiwake.toml", "text": KITTIWAKE, "mark": "x"},
    "new": {"name": "a", "units": "us"},
    "task": {"task": "x"},
    "cancel": {"task": "x"},
    "lesson": {"number": 3, "units": "si"},
    "drill": {"job": "", "seed": 1, "level": 1, "lines": ["flow"], "over": True},
    "pump/check": {"pump": {"name": "a", "runs_on": "12 V DC", "port": "1 in"}},
    "pump/save": {"pump": {"name": "a", "points": "flow gal/h, head ft\n0, 9\n90, 1"}},
    "sheet/html": {"text": KITTIWAKE},
}
ODD: tuple[Any, ...] = (
    None, True, -1, 10**30, 1e308, "", "x" * 5000, "\u0000", "\ud83d\ude00", [], {}, [[]],
    ["flow"] * 9, {"do": "put", "address": "part[1].height", "value": {}},
    [{"do": "remove", "address": "part[1]"}], [{"do": "put", "address": "title", "value": []}],
)  # fmt: skip


def rubbish(chance: random.Random) -> tuple[str, str, dict[str, Any]]:
    """A nearly correct request: one or several things in it are odd."""
    if chance.random() < 0.25:
        name = (
            chance.choice(NAMES)
            if chance.random() < 0.7
            else "".join(chance.choices(string.printable, k=chance.randrange(1, 40)))
        )
        path = chance.choice(GETS) if chance.random() < 0.4 else chance.choice(FILES) + quote(name)
        query = chance.choice(("", "?units=si", "?units=x", "?token=%00", "?page=-1"))
        return chance.choice(("GET", "GET", "HEAD", "POST", "PUT")), path + query, {}
    what = chance.choice(list(BODIES))
    body: Any = dict(BODIES[what])
    for _ in range(chance.randrange(1, 3)):
        key = chance.choice([*body, "edits", "wish", "units"])
        body[key] = chance.choice(ODD)
        if key == "wish" and chance.random() < 0.7:
            does = chance.choice(("up", "down", "copy", "take out", "split", "add", "move", "fly"))
            place = chance.choice(("part[1]", "part[4]", "part[9]", "part[99]", "condenser[1]"))
            body[key] = {"do": does, "address": place, "to": "part[2]", "kind": "hose"}
    if "text" in body and isinstance(body["text"], str) and chance.random() < 0.5:
        cut = chance.randrange(len(body["text"]) + 1)
        body["text"] = body["text"][:cut] + chance.choice(("", "[[part]]", '"', "x = 9", "\n"))
    return "POST", f"/api/{what}", {"content": json.dumps(body)}


def fuzz(root: Path, seeds: range) -> None:
    """Sends garbage: every answer is below 500, and only correct requests change a file."""
    inside = root / "inside"
    inside.mkdir()
    shutil.copy(EXAMPLES / "kittiwake.toml", inside)
    (root / "secret.toml").write_text("title = 'secret'", encoding="utf-8")
    reader = Reader(inside)
    for seed in seeds:
        method, path, options = rubbish(random.Random(seed))
        answer = reader.ask(method, path, **options)
        assert answer.status_code < 500, (seed, path)
        assert "secret" not in answer.text, (seed, path)
        if answer.status_code >= 400 and options:
            assert answer.json()["problems"], (seed, path)
    assert sorted(p.name for p in root.iterdir()) == ["inside", "secret.toml"]
    assert (inside / "kittiwake.toml").read_text(encoding="utf-8") == KITTIWAKE
    reader.site.stop()


def test_rubbish_on_any_route_is_told_and_never_a_failure(tmp_path: Path) -> None:
    fuzz(tmp_path, range(80))


@pytest.mark.extended
def test_much_rubbish_on_any_route_is_told_and_never_a_failure(tmp_path: Path) -> None:
    fuzz(tmp_path, range(1000, 11_000))


@pytest.mark.extended
def test_a_thousand_connections_stop_nobody(started: Started) -> None:
    crowd = [connected(started.port) for _ in range(500)]
    for one in crowd[:250]:
        one.sendall(b"GET / HTTP/1.1\r\nhost: 127.0")
    more = [connected(started.port) for _ in range(500)]
    start = time.monotonic()
    assert alive(started.port)
    assert time.monotonic() - start < 5
    for one in crowd + more:
        one.close()
    assert alive(started.port)
    # Its own memory stays that of a small program.
    with open(f"/proc/{started.process.pid}/statm", encoding="ascii") as file:
        assert int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") < 600_000_000
