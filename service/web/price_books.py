"""GET and POST /v1/price-books: suppliers' price books, seen by their organisation and those granted alone."""

from __future__ import annotations

from functools import partial
from typing import Annotated, Any

from litestar import Request, Response, get, post
from litestar.params import QueryParameter

from service.contract.price_book import (
    PriceBookList,
    PriceBookPublication,
    PriceBookSpec,
    PriceBookSummary,
    PriceBookVersion,
    PriceBookVersionList,
)
from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.contract.strict import decode
from service.store.access import NO_BOOK, BookHead
from service.store.actor import key_actor
from service.store.errors import NotServed
from service.store.live import LiveStore
from service.store.price_writer import Publication
from service.web.caller import Caller, GivenCaller
from service.web.chosen import choose
from service.web.current import CurrentDesk
from service.web.desk import Desk, GivenDesk
from service.web.negotiate import CSV, JSON, VARY, best_type, sent_type
from service.web.path_names import VersionNumber, id_in_path
from service.web.price_answers import (
    book_answer,
    book_url,
    publication_answer,
    version_answer,
    version_summary,
    versions_of,
)
from service.web.price_upload import Upload, read_json, read_text

UPLOAD_BYTES = 8_388_608
BookName = Annotated[str, id_in_path("a price book", "brindlemoor-yard")]
DryRun = Annotated[
    bool, QueryParameter(description="Check everything and tell what would be made, but write nothing")
]
AnyRequest = Request[Any, Any, Any]


@get(
    "/v1/price-books",
    operation_id="listPriceBooks",
    summary="Price books the key may read",
    tags=["prices"],
    sync_to_thread=False,
)
def list_price_books(request: AnyRequest, desk: GivenDesk, caller: GivenCaller) -> Response[PriceBookList]:
    """List the organisation's price books, those it was granted, and those everyone may read."""
    caller.needs("prices:read")
    best_type(request, [JSON])
    snapshot = desk.snapshot
    found = (book_answer(snapshot.access.books[id], snapshot) for id in desk.books(caller))
    return _told(PriceBookList(items=tuple(found), next=None))


@post(
    "/v1/price-books",
    operation_id="createPriceBook",
    summary="Make a price book",
    tags=["prices"],
)
async def create_price_book(request: AnyRequest, caller: GivenCaller) -> Response[PriceBookSummary]:
    """Make a price book without versions, seen by the key's organisation alone.

    Its id is that of the organisation, or begins with it and a hyphen, so that no other organisation has one
    like it. The same id again gives the book there is.
    """
    caller.needs("prices:write")
    best_type(request, [JSON])
    sent_type(request.headers.get("content-type", ""), [JSON])
    id = _own_id(await request.body(), caller)
    current = _current(request)
    actor = key_actor(caller.key_id)
    made = await current.uploads.run(current.store.create_price_book, id, caller.organisation, actor)
    await current.renew()
    head = BookHead(id, caller.organisation, public=False)
    answer = book_answer(head, current.desk.snapshot)
    return _told(answer, 201 if made else 200, {"Location": book_url(id)} if made else {})


@get(
    "/v1/price-books/{price_book_id:str}",
    operation_id="getPriceBook",
    summary="One price book",
    tags=["prices"],
    sync_to_thread=False,
)
def get_price_book(
    price_book_id: BookName, request: AnyRequest, desk: GivenDesk, caller: GivenCaller
) -> Response[PriceBookSummary]:
    """Show a price book without its prices."""
    caller.needs("prices:read")
    best_type(request, [JSON])
    return _told(book_answer(_readable(price_book_id, desk, caller), desk.snapshot))


@get(
    "/v1/price-books/{price_book_id:str}/versions",
    operation_id="listPriceBookVersions",
    summary="Versions of a price book",
    tags=["prices"],
    sync_to_thread=False,
)
def list_price_book_versions(
    price_book_id: BookName, request: AnyRequest, desk: GivenDesk, caller: GivenCaller
) -> Response[PriceBookVersionList]:
    """List the versions of a price book, oldest first, each with the days its prices hold for."""
    caller.needs("prices:read")
    best_type(request, [JSON])
    head = _readable(price_book_id, desk, caller)
    found = (version_summary(book) for book in versions_of(head.id, desk.snapshot))
    return _told(PriceBookVersionList(items=tuple(found), next=None))


@get(
    "/v1/price-books/{price_book_id:str}/versions/{version:int}",
    operation_id="getPriceBookVersion",
    summary="One version of a price book",
    tags=["prices"],
    sync_to_thread=False,
)
def get_price_book_version(
    price_book_id: BookName,
    version: VersionNumber,
    request: AnyRequest,
    desk: GivenDesk,
    caller: GivenCaller,
) -> Response[PriceBookVersion]:
    """Show a version with every line; as `text/csv` it is the very text the digest is taken over.

    In that text `effective_to` stays as it was published: empty for a version that a later one has ended. JSON has
    the days the prices hold for now.
    """
    caller.needs("prices:read")
    media_type = best_type(request, [JSON, CSV])
    head = _readable(price_book_id, desk, caller)
    try:
        book = desk.snapshot.price_books.pinned(head.id, version)
    except NotServed as missing:
        raise Rejected("unknown_version", str(missing)) from None
    choose(prices=book)
    content: Any = book.text if media_type == CSV else version_answer(book)
    return _told(content, media_type=media_type)


@post(
    "/v1/price-books/{price_book_id:str}/versions",
    operation_id="uploadPriceBookVersion",
    summary="Publish a version of a price book",
    tags=["prices"],
    request_max_body_size=UPLOAD_BYTES,
)
async def upload_price_book_version(
    price_book_id: BookName,
    request: AnyRequest,
    caller: GivenCaller,
    dry_run: DryRun = False,
) -> Response[PriceBookPublication]:
    """Publish prices as JSON or CSV: all of them, or none and every fault by row and column.

    A version never changes once it is published. It begins today (in UTC) or later, and not within the days of
    another version; one without a last day is ended where the new one begins. The same content again gives the
    version there is.

    As `text/csv` the columns are the fields of a line, in any order, `breaks` written like `10:13.90;50:13.40`.
    Above them stand `#currency: USD`, `#effective_from: 2027-01-01`, `#tax_included: false` and, where there is a
    last day, `#effective_to: 2027-12-31`, a row each; `#id:`, `#version:` and `#organisation:` may stand there too
    and then have to be so.
    """
    caller.needs("prices:write")
    best_type(request, [JSON])
    current = _current(request)
    # the book may have been made a moment ago, by way of another process
    await current.renew()
    head = _owned(price_book_id, current.desk, caller)
    media_type = sent_type(request.headers.get("content-type", ""), [JSON, CSV])
    body = await request.body()
    upload = partial(_publish, dry_run=dry_run, actor=key_actor(caller.key_id))
    made = await current.uploads.run(upload, current.store, body, media_type, head)
    if made.outcome == "created":
        await current.renew()
    if made.outcome != "would_create":
        choose(prices=made.book)
    answer = publication_answer(made)
    new = made.outcome == "created"
    return _told(answer, 201 if new else 200, {"Location": answer.url} if new else {})


def _publish(
    store: LiveStore, body: bytes, media_type: str, head: BookHead, *, dry_run: bool, actor: str
) -> Publication:
    upload = read_text(body) if media_type == CSV else read_json(body)
    _check_said(upload, head)
    return store.publish_price_book(upload.of(head), upload.said, dry_run=dry_run, actor=actor)


def _check_said(upload: Upload, head: BookHead) -> None:
    is_so = {"id": head.id, "organisation": head.organisation}
    faults = tuple(
        Fault(pointer(key), "not_this_book", f"this price book has {value}", Allowed(one_of=(value,)))
        for key, value in is_so.items()
        if upload.said.get(key, value) != value
    )
    if faults:
        raise Rejected("invalid_upload", "it says that it is another price book", faults)


def _own_id(body: bytes, caller: Caller) -> str:
    try:
        id = decode(body, PriceBookSpec).id
    except Rejected as refused:
        code = "invalid_upload" if refused.code == "invalid_spec" else refused.code
        raise Rejected(code, refused.detail, refused.faults) from None
    # Whether another organisation has an id is never told: an id it could have is refused unseen.
    if id != caller.organisation and not id.startswith(f"{caller.organisation}-"):
        detail = f"the id is {caller.organisation}, or begins with it and a hyphen"
        allowed = Allowed(pattern=f"^{caller.organisation}(-[a-z0-9]+)*$")
        raise Rejected("invalid_upload", "1 fault", (Fault("/id", "bad_pattern", detail, allowed),))
    return id


def _readable(id: str, desk: Desk, caller: Caller) -> BookHead:
    """The price book of an id; another organisation's is not there, in the same words and steps."""
    head = desk.snapshot.access.readable(id, caller.organisation)
    if head is NO_BOOK:
        raise Rejected("not_found", "there is no such price book")
    return head


def _owned(id: str, desk: Desk, caller: Caller) -> BookHead:
    head = _readable(id, desk, caller)
    if head.organisation != caller.organisation:
        raise Rejected(
            "scope_missing", "this needs a key with the scope prices:write of the book's organisation"
        )
    return head


def _current(request: AnyRequest) -> CurrentDesk:
    current: CurrentDesk = request.app.state.current
    return current


def _told(
    content: Any, status: int = 200, headers: dict[str, str] | None = None, media_type: str = JSON
) -> Response[Any]:
    return Response(content, status_code=status, media_type=media_type, headers={**VARY, **(headers or {})})
