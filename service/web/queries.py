"""Parameters after the question mark: an unknown or repeated one is refused, as a misspelt field would be."""

from __future__ import annotations

from typing import Any

from litestar import Request

from service.contract.problem import Allowed, Fault, Rejected, pointer


def refuse_unknown_parameters(request: Request[Any, Any, Any]) -> None:
    """Refuse parameters the call does not have, and a parameter given twice.

    Raises:
        Rejected: invalid_query
    """
    given = [name for name, _ in request.query_params.multi_items()]
    if not given:
        return
    known = tuple(sorted(_known(request)))
    faults = [
        Fault(
            pointer(name), "unknown_field", "there is no parameter of this name here", Allowed(one_of=known)
        )
        for name in dict.fromkeys(given)
        if name not in known
    ]
    faults += [
        Fault(pointer(name), "too_many", "this parameter is given more than once", Allowed(max=1.0))
        for name in known
        if given.count(name) > 1
    ]
    if faults:
        raise Rejected("invalid_query", "the query cannot be used", tuple(faults[:50]))


def _known(request: Request[Any, Any, Any]) -> set[str]:
    handler: Any = request.route_handler
    path = set(request.path_params)
    return set(handler.parsed_fn_signature.parameters) - path - {"desk", "request", "data"}
