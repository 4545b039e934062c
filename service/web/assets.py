"""The files that come with the pages: scripts, styles and the pages themselves, by name alone."""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import Annotated, Any, NamedTuple

from litestar import MediaType, Request, Response, get
from litestar.params import PathParameter

from service.contract.problem import Rejected
from service.web.negotiate import best_type
from service.web.page import PAGE_HEADERS

FOLDERS = ("try", "docs", "swagger-ui")
TYPES = {
    ".html": "text/html",
    ".js": "text/javascript",
    ".css": "text/css",
    ".json": "application/json",
    ".txt": "text/plain",
}
# A copy may be kept, but is asked after each time: modules of two versions do not go together.
KEEPING = "public, no-cache"
# Of a file opened as a page of its own, nothing runs.
_ALONE = "default-src 'none'; frame-ancestors 'none'"

Folder = Annotated[
    str,
    PathParameter(
        description="Folder of the file", pattern=r"^[a-z-]{1,20}$", schema_extra={"examples": ["try"]}
    ),
]
File = Annotated[
    str,
    PathParameter(
        description="Name of the file",
        pattern=r"^[A-Za-z0-9_-][A-Za-z0-9._-]{0,60}$",
        schema_extra={"examples": ["deck-framing.js"]},
    ),
]


class Asset(NamedTuple):
    """A file as it is sent; its entity tag is the SHA-256 of its content."""

    content: bytes
    media_type: str
    etag: str


@cache
def asset(folder: str, name: str) -> Asset | None:
    """Return a file that comes with the service; None where there is none of this name.

    A name is looked for in what the folder holds, never made into a path, so that none leads out of it.

    >>> asset("try", "index.html").media_type, asset("try", "../assets.py")
    ('text/html', None)
    """
    if folder not in FOLDERS:
        return None
    held = {one.name: one for one in (files("service") / "web" / "assets" / folder).iterdir()}
    media_type = TYPES.get(f".{name.rpartition('.')[2]}")
    if name not in held or media_type is None:
        return None
    content = held[name].read_bytes()
    return Asset(content, media_type, f'"{sha256(content).hexdigest()}"')


def asset_answer(
    request: Request[Any, Any, Any], folder: str, name: str, policy: str = _ALONE
) -> Response[Any]:
    """Return a file with its entity tag and a content security policy.

    Raises:
        Rejected: not_found, not_acceptable
    """
    found = asset(folder, name)
    if found is None:
        raise Rejected("not_found", "there is no file of this name")
    headers = {
        "ETag": found.etag,
        "Cache-Control": KEEPING,
        "Content-Security-Policy": policy,
        **PAGE_HEADERS,
    }
    best_type(request, [found.media_type])
    return Response(found.content, media_type=found.media_type, headers=headers)


@get(
    "/assets/{folder:str}/{file:str}",
    operation_id="getAsset",
    summary="A file of the pages",
    tags=["operations"],
    media_type=MediaType.TEXT,
    sync_to_thread=False,
    include_in_schema=False,
)
def get_asset(folder: Folder, file: File, request: Request[Any, Any, Any]) -> Response[Any]:
    """Send a script, a style or a licence that a page names."""
    return asset_answer(request, folder, file)
