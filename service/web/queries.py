"""Parameters after the question mark are refused as fields of a body are: by name, count and form."""

from __future__ import annotations

import re
from typing import Any

from litestar import Request

from service.contract.problem import Allowed, Fault, Rejected, pointer

_CONTROL = re.compile(r"[\x00-\x1f\x7f]")


def refuse_unknown_parameters(request: Request[Any, Any, Any]) -> None:
    """Refuse parameters the call does not have, a parameter given twice, and control characters in one.

    Raises:
        Rejected: invalid_query
    """
    if not request.query_params:
        return
    faults = faults_of_names(request, tuple(sorted(_known(request))))
    faults += _faults_of_characters(request)
    if faults:
        raise invalid_query(faults)


def _faults_of_characters(request: Request[Any, Any, Any]) -> list[Fault]:
    """Control characters in values: a form that ends with `$` would let a line feed pass at its end."""
    return [
        Fault(pointer(name), "bad_pattern", "control characters are not taken")
        for name, value in request.query_params.multi_items()
        if _CONTROL.search(str(value))
    ]


def faults_of_names(request: Request[Any, Any, Any], known: tuple[str, ...]) -> list[Fault]:
    """Return what is wrong with the names of the parameters given: unknown, or given twice."""
    given = [name for name, _ in request.query_params.multi_items()]
    unknown = [
        Fault(
            pointer(name), "unknown_field", "there is no parameter of this name here", Allowed(one_of=known)
        )
        for name in dict.fromkeys(given)
        if name not in known
    ]
    repeated = [
        Fault(pointer(name), "too_many", "this parameter is given more than once", Allowed(max=1.0))
        for name in known
        if given.count(name) > 1
    ]
    return unknown + repeated


def invalid_query(faults: list[Fault]) -> Rejected:
    """Return the refusal of a query for its faults."""
    return Rejected("invalid_query", "the query cannot be used", tuple(faults[:50]))


def parameter_fault(request: Request[Any, Any, Any], name: str) -> Fault:
    """Return what is wrong with the value of a parameter the framework has refused."""
    handler: Any = request.route_handler
    # named by the handler's argument where its form is wrong, and by callers' name where it is missing
    given = handler.parsed_fn_signature.parameters
    parameter = given[name] if name in given else _parameters(request)[name]
    name = _called(name, parameter)
    if parameter.annotation is bool:
        return Fault(pointer(name), "not_in_list", "this is true or false", Allowed(one_of=("true", "false")))
    form = parameter.kwarg_definition
    given = len(request.query_params.get(name, ""))
    if form.max_length is not None and given > form.max_length:
        allowed = Allowed(max=float(form.max_length), pattern=form.pattern)
        detail = f"{given} characters given, at most {form.max_length} taken"
        return Fault(pointer(name), "too_long", detail, allowed)
    detail = "the text does not have the form needed here"
    if form.min_length is not None and given < form.min_length:
        detail = f"{given} characters given, at least {form.min_length} needed"
    examples = (form.schema_extra or {}).get("examples", ())
    example = "".join(f"; for example {one}" for one in examples[:1])
    least = None if form.min_length is None else float(form.min_length)
    return Fault(pointer(name), "bad_pattern", f"{detail}{example}", Allowed(min=least, pattern=form.pattern))


def _parameters(request: Request[Any, Any, Any]) -> dict[str, Any]:
    """The arguments of a handler by the names callers know them by: `with` can't be a name in Python."""
    handler: Any = request.route_handler
    return {_called(name, one): one for name, one in handler.parsed_fn_signature.parameters.items()}


def _called(name: str, parameter: Any) -> str:
    return getattr(parameter.kwarg_definition, "name", None) or name


def _known(request: Request[Any, Any, Any]) -> set[str]:
    path = set(request.path_params)
    return set(_parameters(request)) - path - {"desk", "caller", "request", "data"}
