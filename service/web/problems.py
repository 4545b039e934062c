"""GET /problems/{code}: a page for people who follow the type of a problem."""

from __future__ import annotations

from html import escape
from typing import Annotated, Any

from litestar import MediaType, Request, Response, get
from litestar.params import PathParameter

from service.contract.problem import Rejected
from service.contract.vocabulary import PROBLEM_KINDS
from service.web.negotiate import HTML, best_type
from service.web.page import page

Code = Annotated[
    str,
    PathParameter(
        description="Code of a problem",
        pattern=r"^[a-z][a-z0-9_]{2,47}$",
        schema_extra={"examples": ["invalid_spec"]},
    ),
]


@get(
    "/problems/{code:str}",
    operation_id="showProblem",
    summary="What a problem code means",
    tags=["operations"],
    media_type=MediaType.HTML,
    sync_to_thread=False,
)
def show_problem(code: Code, request: Request[Any, Any, Any]) -> Response[str]:
    """Explain a problem code in plain words."""
    best_type(request, [HTML])
    kind = PROBLEM_KINDS.get(code)
    if kind is None:
        raise Rejected("not_found", "there is no problem of this code")
    heading = f"{kind.status} {kind.code}"
    return page(
        kind.title, f"<h1>{escape(kind.title)}</h1><p><code>{heading}</code></p><p>{escape(kind.page)}</p>"
    )
