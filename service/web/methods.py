"""Which operation each path has for which method: read off the routes.

Who asks with OPTIONS is told the methods. That is no more than the public document says, so no key is asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

from litestar.utils.path import normalize_path

from service.web.openapi.build import show_document
from service.web.openapi.streams import operation_of
from service.web.problem_answer import MethodRefused
from service.web.routes import HANDLERS, STREAMS
from service.web.seen.operations import NO_OPERATION, Operation

_PARAMETER = re.compile(r"\{([a-z_]+):(str|int)\}")
_FORMS = {"str": "[^/]+", "int": "[0-9]+"}


@dataclass(frozen=True)
class Place:
    """What can be asked of one path.

    Attributes:
        route: template of the path
        streamed: whether it is an NDJSON call
        operations: operation id by method
    """

    route: str
    streamed: bool = False
    operations: dict[str, str] = field(default_factory=dict)

    @property
    def allow(self) -> str:
        """The methods it takes, as the Allow header lists them."""
        also = {"HEAD", "OPTIONS"} if "GET" in self.operations else {"OPTIONS"}
        return ", ".join(sorted({*self.operations, *also}))

    def operation(self, method: str) -> str:
        """Return the id of the operation a method stands for.

        Raises:
            MethodRefused: it takes no such method
        """
        found = self.operations.get(got(method))
        if found is None:
            raise MethodRefused(method, self.allow)
        return found


def got(method: str) -> str:
    """Return the method whose answer one asks for: HEAD is a GET without its body."""
    return "GET" if method == "HEAD" else method


def place_of(path: str) -> Place | None:
    """Return what can be asked of a path; None where there is nothing.

    >>> place_of("/v1/rulebooks/irc-2021/versions/1").allow, place_of("/v1/rulebooks/irc-2021/versions/one")
    ('DELETE, GET, HEAD, OPTIONS, PATCH', None)
    """
    return next((place for form, place in _places() if form.fullmatch(path)), None)


def operation_at(method: str, path: str) -> Operation:
    """Return what a request calls, also one that is refused before any route is asked.

    >>> operation_at("HEAD", "/v1/rulebooks/irc-2021/versions/1/")
    Operation(id='getRulebookVersion', route='/v1/rulebooks/{rulebook_id}/versions/{version}', streamed=False)
    """
    place = place_of(normalize_path(path))
    if place is None:
        return NO_OPERATION
    return Operation(place.operations.get(got(method), NO_OPERATION.id), place.route, place.streamed)


def operation_ids() -> frozenset[str]:
    """Return the ids a request can be counted under: of all operations, and that of none."""
    return frozenset({NO_OPERATION.id, *(id for _, place in _places() for id in place.operations.values())})


@cache
def _places() -> tuple[tuple[re.Pattern[str], Place], ...]:
    streams = {path for one in STREAMS for path in one.paths}
    found: dict[str, Place] = {}
    for path, method, operation in _routes():
        place = found.setdefault(path, Place(_PARAMETER.sub(r"{\1}", path), path in streams))
        place.operations[method] = operation
    return tuple((_form(path), place) for path, place in found.items())


def _routes() -> Iterator[tuple[str, str, str]]:
    for handler in (*HANDLERS, show_document):
        for path in sorted(handler.paths):
            for method in sorted(handler.http_methods):
                yield path, str(method), str(handler.operation_id)
    for stream in STREAMS:
        for path in sorted(stream.paths):
            yield path, "POST", operation_of(stream)


def _form(path: str) -> re.Pattern[str]:
    parts = _PARAMETER.split(path)
    texts, kinds = parts[0::3], parts[2::3]
    forms = [*(_FORMS[kind] for kind in kinds), ""]
    return re.compile("".join(re.escape(text) + form for text, form in zip(texts, forms, strict=True)))
