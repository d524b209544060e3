"""What the page lets through: its own hosts and origins, the token, bodies of sane size."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from loop.job import parse_toml
from loop.page.guard import LARGEST_BODY
from tests.page.asking import HOST, Reader

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
KITTIWAKE = (EXAMPLES / "kittiwake.toml").read_text(encoding="utf-8")


@pytest.fixture
def reader(tmp_path: Path) -> Iterator[Reader]:
    (tmp_path / "kittiwake.toml").write_text(KITTIWAKE, encoding="utf-8")
    reader = Reader(tmp_path)
    yield reader
    reader.site.tasks.stop_all()


def told(response: httpx.Response) -> str:
    return "\n".join(response.json()["problems"])


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1:9999", "", "127.0.0.1:8000.evil.example"]
)
def test_another_host_is_refused_so_that_no_rebound_name_reaches_it(
    reader: Reader, host: str
) -> None:
    for method, path in (
        ("GET", "/"),
        ("GET", "/api/file/kittiwake.toml"),
        ("POST", "/api/answer"),
    ):
        assert reader.ask(method, path, host=host).status_code == 403


def test_another_page_may_not_ask(reader: Reader) -> None:
    for origin in ("http://evil.example", "null", f"https://{HOST}"):
        answer = reader.post("/api/new", {"name": "x"}, headers={"origin": origin})
        assert answer.status_code == 403, origin
    assert (
        reader.post("/api/new", {"name": "x"}, headers={"origin": f"http://{HOST}"}).status_code
        == 200
    )


@pytest.mark.parametrize("token", ["", "wrong", "right-toke", "right-token2"])
def test_nothing_is_changed_without_the_token(reader: Reader, token: str) -> None:
    assert reader.post("/api/new", {"name": "x"}, token=token).status_code == 403
    assert not (reader.site.folder.root / "x.toml").exists()


def test_on_a_shared_network_every_request_needs_the_token(tmp_path: Path) -> None:
    reader = Reader(tmp_path, everywhere=True)
    assert reader.ask("GET", "/", token="").status_code == 403
    first = reader.ask("GET", "/?token=right-token", token="")
    assert first.status_code == 200
    cookie = first.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    kept = cookie.split(";")[0]
    assert reader.ask("GET", "/", token="", headers={"cookie": kept}).status_code == 200
    assert reader.ask("GET", "/", token="", headers={"cookie": "loop-token=no"}).status_code == 403


@pytest.mark.parametrize(
    "name",
    [
        "../secret.toml",
        "..%2Fsecret.toml",
        "%2e%2e/secret.toml",
        "/etc/passwd",
        "C:\\secret.toml",
        "con.toml",
        "NUL.toml",
        ".hidden.toml",
        "a\u0000.toml",
        "link.toml",
        "sub/inner.toml",
        "x" * 300 + ".toml",
    ],
)
def test_no_path_outside_the_folder_is_read_or_written(tmp_path: Path, name: str) -> None:
    inside = tmp_path / "inside"
    (inside / "sub").mkdir(parents=True)
    (inside / "sub" / "inner.toml").write_text(KITTIWAKE, encoding="utf-8")
    secret = tmp_path / "secret.toml"
    secret.write_text(KITTIWAKE.replace("Kittiwake", "Secret"), encoding="utf-8")
    os.symlink(secret, inside / "link.toml")
    reader = Reader(inside)
    answer = reader.ask("GET", f"/api/file/{name}") if "\u0000" not in name else None
    if answer is not None:
        assert answer.status_code in (404, 422)
        assert "Secret" not in answer.text
    written = reader.post("/api/save", {"name": name, "text": KITTIWAKE, "mark": None})
    assert written.status_code == 422
    assert "Secret" in secret.read_text(encoding="utf-8")
    names = sorted(path.name for path in inside.iterdir())
    assert names == ["link.toml", "sub"]


@pytest.mark.parametrize("curve", ["../pump.toml", "/etc/passwd", "~/pump.toml", "..\\pump.toml"])
def test_a_pump_file_outside_the_folder_is_refused(reader: Reader, curve: str) -> None:
    text = KITTIWAKE.replace('"demo-ac-350"', f"'{curve}'")
    assert text != KITTIWAKE
    answer = reader.post("/api/answer", {"text": text})
    assert answer.status_code == 422
    edits = [{"do": "put", "address": "pump", "value": curve}]
    answer = reader.post("/api/answer", {"text": KITTIWAKE, "edits": edits})
    assert answer.status_code == 422


def test_large_bodies_end_early(reader: Reader) -> None:
    answer = reader.ask("POST", "/api/answer", content=b"x" * (LARGEST_BODY + 1))
    assert answer.status_code == 413


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"null", b"[" * 50_000, b'{"text": 3}', b'{"text": "part = 3"}', b"\xff"],
)
@pytest.mark.parametrize(
    "path",
    [
        "/api/answer", "/api/act", "/api/save", "/api/new", "/api/size", "/api/task",
        "/api/cancel", "/api/lesson", "/api/drill", "/api/sheet/pdf",
        "/api/pump/check", "/api/pump/save", "/api/paper",
    ],
)  # fmt: skip
def test_rubbish_is_told_and_never_a_failure(reader: Reader, path: str, body: bytes) -> None:
    answer = reader.ask("POST", path, content=body)
    assert answer.status_code in (200, 400, 404, 413, 422)
    if answer.status_code != 200:
        assert told(answer)


@pytest.mark.parametrize(
    "edits",
    [
        3,
        [3],
        [{"do": "put"}],
        [{"do": "put", "address": "part[99].bore", "value": 1}],
        [{"do": "insert", "address": "part[2]", "part": {"kind": "nothing"}}],
        [{"do": "insert", "address": "part[2]", "part": {}}],
        [{"do": "remove", "address": "title"}],
        [{"do": "put", "address": "part[3].to", "value": {"a": [{}]}}],
        [{"do": "put", "address": "part[3].to", "value": 1e308}],
        [{"do": "put", "address": "x" * 10_000, "value": 1}],
        [{"do": "put", "address": "title", "value": 1}] * 1000,
    ],
)
def test_edits_that_make_no_job_are_told(reader: Reader, edits: Any) -> None:
    answer = reader.post("/api/answer", {"text": KITTIWAKE, "edits": edits})
    assert answer.status_code == 422
    assert told(answer)


def test_every_answer_forbids_scripts_from_elsewhere(reader: Reader) -> None:
    for path in ("/", "/bench/kittiwake.toml", "/static/bench.js", "/nowhere"):
        headers = reader.ask("GET", path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_a_file_with_a_slip_in_it_is_listed_and_its_card_tells_the_mistake(reader: Reader) -> None:
    wrong = KITTIWAKE.replace('kind = "seacock"', 'kind = "ball valve"', 1)
    slip = KITTIWAKE.replace('title = "', "title = ", 1)
    for name, text in (("wrong.toml", wrong), ("slip.toml", slip), ("notes.toml", "x")):
        (reader.site.folder.root / name).write_text(text, encoding="utf-8")
    front = reader.ask("GET", "/").text
    assert "notes.toml" not in front
    for name in ("wrong.toml", "slip.toml"):
        assert f'href="/bench/{name}"' in front
        card = reader.ask("GET", f"/call/{name}")
        assert card.status_code == 422
        assert card.headers["content-type"].startswith("text/html")
        assert f'href="/bench/{name}"' in card.text
    assert "did you mean" in reader.ask("GET", "/call/wrong.toml").text


def test_a_mistake_in_the_open_file_begins_with_its_place(reader: Reader) -> None:
    wrong = KITTIWAKE.replace('kind = "seacock"', 'kind = "ball valve"', 1)
    assert told(reader.post("/api/answer", {"text": wrong})).startswith("part 2 (ball valve): ")
    put = {"do": "put", "address": "part[3].length", "value": "5 fet"}
    asked = {"text": KITTIWAKE, "edits": [put]}
    assert told(reader.post("/api/answer", asked)).startswith("part 3 (hose) length: ")
    # A line without a place says what it is about.
    torn = told(reader.post("/api/answer", {"text": "title = My boat"}))
    assert torn.startswith("this file: is not TOML")


def test_the_card_brings_its_own_policy_by_hashes(reader: Reader) -> None:
    # On a phone the front page is where it is found.
    assert 'href="/call/kittiwake.toml"' in reader.ask("GET", "/").text
    answer = reader.ask("GET", "/call/kittiwake.toml")
    assert answer.status_code == 200
    assert "content-security-policy" not in answer.headers
    assert "Content-Security-Policy" in answer.text
    assert "sha256-" in answer.text
    assert "unsafe" not in answer.text.split("Content-Security-Policy")[1][:600]
    assert reader.ask("GET", "/call/nothing.toml").status_code == 422


@pytest.mark.parametrize("name", ["..%2fserver.py", "server.py", "../server.py", "page.css.bak"])
def test_only_the_pages_own_assets_are_served(reader: Reader, name: str) -> None:
    assert reader.ask("GET", f"/static/{name}").status_code == 404


def test_a_file_changed_outside_is_not_overwritten(reader: Reader) -> None:
    opened = reader.ask("GET", "/api/file/kittiwake.toml").json()
    path = reader.site.folder.root / "kittiwake.toml"
    theirs = KITTIWAKE.replace("Kittiwake", "Changed outside")
    path.write_text(theirs, encoding="utf-8")
    body = {"name": "kittiwake.toml", "text": KITTIWAKE, "mark": opened["mark"]}
    assert reader.post("/api/save", body).status_code == 409
    assert path.read_text(encoding="utf-8") == theirs
    again = reader.ask("GET", "/api/file/kittiwake.toml").json()
    assert reader.post("/api/save", body | {"mark": again["mark"]}).status_code == 200
    assert path.read_text(encoding="utf-8") == KITTIWAKE


@pytest.mark.parametrize(
    ("title", "name"),
    [("Wren", "Wren.toml"), ("Aft / port", "Aft - port.toml"), ("../../x", "x.toml")],
)
def test_a_new_file_is_named_after_its_title(reader: Reader, title: str, name: str) -> None:
    made = reader.post("/api/new", {"name": title, "units": "si"}).json()
    assert made["name"] == name
    text = (reader.site.folder.root / name).read_text(encoding="utf-8")
    assert parse_toml(text).title == title
    assert reader.post("/api/new", {"name": title}).status_code == 409


@pytest.mark.parametrize("title", ["", "  ", "/", "con", "nul.", "\u0000"])
def test_a_title_that_makes_no_name_is_told(reader: Reader, title: str) -> None:
    assert reader.post("/api/new", {"name": title}).status_code == 422
    assert sorted(path.name for path in reader.site.folder.root.iterdir()) == ["kittiwake.toml"]
