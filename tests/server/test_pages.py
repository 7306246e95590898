"""The app's own files: what is cached for ever, what is asked for again, and nothing else."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from matbook.server.app import web_app
from matbook.server.house import Serving
from matbook.server.pages import ASK_AGAIN, FOREVER
from tests.server.house import PATIENT, Asking, Client, Served, code_of


@pytest.fixture(scope="module")
def app(unmoved: Served, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asking]:
    beside = tmp_path_factory.mktemp("pages")
    folder = beside / "app"
    files = {
        "index.html": b"<!doctype html><title>Matbook</title>",
        "sw.js": b"self",
        "assets/index-a1b2c3.js": b"let a = 1",
        "assets/index-a1b2c3.js.br": b"packed",
        "core-9f9f.zip": b"PK",
        "pyodide/pyodide.mjs": b"export {}",
        "pyodide/pyodide.asm.wasm": b"\0asm",
        "manifest.webmanifest": b"{}",
        ".env": b"secret",
        "notes.py": b"secret",
    }
    for name, raw in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(raw)
    (beside / "secret.txt").write_text("secret", encoding="utf-8")
    web = web_app(unmoved.house, Serving(limits=PATIENT), folder)
    client = Client(web, "http://localhost:8417", "127.0.0.1")
    yield Asking(client)
    client.close()


@pytest.mark.parametrize(
    ("path", "kind", "cache"),
    [
        ("/", "text/html; charset=utf-8", ASK_AGAIN),
        ("/index.html", "text/html; charset=utf-8", ASK_AGAIN),
        ("/book", "text/html; charset=utf-8", ASK_AGAIN),
        ("/sw.js", "text/javascript; charset=utf-8", ASK_AGAIN),
        ("/assets/index-a1b2c3.js", "text/javascript; charset=utf-8", FOREVER),
        ("/core-9f9f.zip", "application/zip", FOREVER),
        ("/pyodide/pyodide.mjs", "text/javascript; charset=utf-8", ASK_AGAIN),
        ("/pyodide/pyodide.asm.wasm", "application/wasm", ASK_AGAIN),
        ("/manifest.webmanifest", "application/manifest+json", ASK_AGAIN),
    ],
)
def test_a_file_is_served_as_what_it_is(app: Asking, path: str, kind: str, cache: str) -> None:
    answer = app.get(path, headers={"Accept-Encoding": ""})
    assert answer.status_code == 200
    assert (answer.headers["content-type"], answer.headers["cache-control"]) == (kind, cache)
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert app.send("HEAD", path).status_code == 200


def test_a_file_that_was_packed_is_sent_packed(app: Asking) -> None:
    raw = app.client.raw("/assets/index-a1b2c3.js", {"Accept-Encoding": "gzip, br;q=0.9"})
    assert raw.headers["content-encoding"] == "br"
    assert raw.headers["content-length"] == "6"
    assert raw.headers["content-type"].startswith("text/javascript")


@pytest.mark.parametrize(
    "path",
    [
        "/.env",
        "/notes.py",
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/assets/..%2f..%2fsecret.txt",
        "/assets/none.js",
        "/api/none",
        "/api",
    ],
)
def test_nothing_else_is_served(app: Asking, path: str) -> None:
    answer = app.get(path)
    assert code_of(answer) == (404, "not-found")
    assert "secret" not in answer.text.replace("secret.txt", "")


def test_without_the_app_a_page_says_so(unmoved: Served, tmp_path: Path) -> None:
    web = web_app(unmoved.house, Serving(limits=PATIENT), tmp_path / "none")
    asking = Asking(Client(web, "http://localhost:8417", "127.0.0.1"))
    assert "not built" in asking.get("/").text
    assert asking.get("/book").status_code == 404
    assert code_of(asking.get("/sw.js")) == (404, "not-found")
