"""Which operation a request calls, found from its path alone: also for those refused before any route is asked."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from litestar.handlers import ASGIRouteHandler, HTTPRouteHandler
from litestar.utils.path import normalize_path

METHODS = frozenset({"GET", "HEAD", "POST", "PATCH", "PUT", "DELETE", "OPTIONS"})
OTHER_METHOD = "other"
_PARAMETER = re.compile(r"\{(\w+):(\w+)\}")
_FORMS = {"int": r"-?\d+", "path": ".+"}


@dataclass(frozen=True)
class Operation:
    """What is called.

    Attributes:
        id: operation id as in the document, `none` where the path has none with the method
        route: template of the path, empty where no route has the path
        streamed: whether it is an NDJSON call
    """

    id: str
    route: str
    streamed: bool = False


NO_OPERATION = Operation("none", "")


class Operations:
    """The operations of handlers.

    >>> from service.web.routes import HANDLERS
    >>> Operations(HANDLERS, ()).of("HEAD", "/v1/rulebooks/irc-2021/versions/1/")
    Operation(id='getRulebookVersion', route='/v1/rulebooks/{rulebook_id}/versions/{version}', streamed=False)
    """

    def __init__(self, handlers: Iterable[HTTPRouteHandler], streams: Iterable[ASGIRouteHandler]) -> None:
        self._found: dict[str, dict[str, Operation]] = {}
        for handler in handlers:
            for path in handler.paths:
                for method in handler.http_methods:
                    self._add(path, str(method), Operation(_id(handler), _template(path)))
        for stream in streams:
            for path in stream.paths:
                self._add(path, "POST", Operation(_id(stream), _template(path), streamed=True))
        self._forms = [(re.compile(_form(path)), path) for path in self._found if "{" in path]

    def _add(self, path: str, method: str, operation: Operation) -> None:
        self._found.setdefault(path, {})[method] = operation

    @property
    def ids(self) -> frozenset[str]:
        """What `of` may name, `none` among them."""
        named = (one.id for by_method in self._found.values() for one in by_method.values())
        return frozenset((NO_OPERATION.id, *named))

    def of(self, method: str, path: str) -> Operation:
        """Return what a request calls; HEAD is the GET it stands for."""
        named = self._path(normalize_path(path))
        if named is None:
            return NO_OPERATION
        by_method = self._found[named]
        return by_method.get("GET" if method == "HEAD" else method, Operation("none", _template(named)))

    def _path(self, path: str) -> str | None:
        if path in self._found:
            return path
        return next((named for form, named in self._forms if form.fullmatch(path)), None)


def fixed_method(method: str) -> str:
    """Return a method in fixed words.

    >>> fixed_method("POST"), fixed_method("SECRET")
    ('POST', 'other')
    """
    return method if method in METHODS else OTHER_METHOD


def _id(handler: HTTPRouteHandler | ASGIRouteHandler) -> str:
    given = getattr(handler, "operation_id", None)
    if isinstance(given, str):
        return given
    first, *others = handler.handler_name.rpartition(".")[2].split("_")
    return first + "".join(word.title() for word in others)


def _template(path: str) -> str:
    return _PARAMETER.sub(r"{\1}", path)


def _form(path: str) -> str:
    parts = _PARAMETER.split(path)
    texts, kinds = parts[0::3], parts[2::3]
    forms = [_FORMS.get(kind, "[^/]+") for kind in kinds]
    return "".join(re.escape(text) + form for text, form in zip(texts, [*forms, ""], strict=True))
