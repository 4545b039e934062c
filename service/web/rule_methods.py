"""The methods of paths that have several: the framework's own answer to OPTIONS knows the first one alone."""

from __future__ import annotations

from litestar import Response, route

_LISTS = ["/v1/rulebooks/{rulebook_id:str}/versions", "/v1/jurisdictions/{jurisdiction_id:str}/versions"]
_DRAFTS = [f"{path}/{{version:int}}" for path in _LISTS]


@route(_LISTS, http_method=["OPTIONS"], include_in_schema=False, status_code=204, sync_to_thread=False)
def tell_methods_of_lists() -> Response[None]:
    """Tell that versions are listed and begun."""
    return Response(None, status_code=204, headers={"Allow": "GET, HEAD, OPTIONS, POST"})


@route(_DRAFTS, http_method=["OPTIONS"], include_in_schema=False, status_code=204, sync_to_thread=False)
def tell_methods_of_drafts() -> Response[None]:
    """Tell that a version is read, changed and discarded."""
    return Response(None, status_code=204, headers={"Allow": "DELETE, GET, HEAD, OPTIONS, PATCH"})
