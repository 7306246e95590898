"""The app itself: static files, found once when the server starts; nothing else is ever sent."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, Response

from matbook.server.problems import told

APP: Final = Path(__file__).parent / "app"
TYPES: Final[Mapping[str, str]] = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".ico": "image/x-icon",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".map": "application/json",
    ".mjs": "text/javascript; charset=utf-8",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
    ".zip": "application/zip",
}
"""What is served, by ending; a file with another ending is not."""
FOREVER: Final = "public, max-age=31536000, immutable"
ASK_AGAIN: Final = "no-cache"
PACKED: Final = (("br", ".br"), ("gzip", ".gz"))
"""Files that lie beside the plain one, compressed when the app was built."""
NOT_BUILT: Final = (
    "<!doctype html><html lang=en><meta charset=utf-8><title>Matbook</title>"
    "<p>The app is not built here. The API is up: see /api/openapi.json.</p></html>"
)

routes = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Page:
    """One file of the app."""

    path: Path
    kind: str
    cache: str


def pages_in(folder: Path) -> dict[str, Page]:
    """Every file of the app by its address; the start page also as /."""
    found = {
        f"/{path.relative_to(folder).as_posix()}": Page(path, TYPES[path.suffix], _cache(path))
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.suffix in TYPES
    }
    if "/index.html" in found:
        found["/"] = found["/index.html"]
    return found


def _cache(path: Path) -> str:
    """What carries its content's hash in its name never changes; all else is asked for again."""
    hashed = path.parent.name == "assets" or path.name.startswith("core-")
    return FOREVER if hashed else ASK_AGAIN


@routes.get("/{path:path}")
@routes.head("/{path:path}")
def page(request: Request, path: str) -> Response:
    """A file of the app; the app's own places (no ending) give the start page."""
    pages: dict[str, Page] = request.app.state.pages
    if path.startswith("api/") or path == "api":
        return told(404, "not-found", "There is nothing at this address.")
    found = pages.get(f"/{path}")
    if found is None and "." not in path.rpartition("/")[2]:
        found = pages.get("/")
        if found is None:
            return Response(NOT_BUILT, 200 if not path else 404, media_type=TYPES[".html"])
    if found is None:
        return told(404, "not-found", "There is nothing at this address.")
    return _sent(found, request.headers.get("accept-encoding", ""))


def _sent(found: Page, accepted: str) -> Response:
    headers = {"Cache-Control": found.cache, "Vary": "Accept-Encoding"}
    path = found.path
    names = {part.partition(";")[0].strip() for part in accepted.split(",")}
    for name, ending in PACKED:
        beside = path.with_name(path.name + ending)
        if name in names and beside.exists():
            path, headers["Content-Encoding"] = beside, name
            break
    return FileResponse(path, headers=headers, media_type=found.kind)
