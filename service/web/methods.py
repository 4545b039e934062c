"""Which methods each path takes: read off the routes, and told to whoever asks with OPTIONS.

That is no more than the public document says, so no key is asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

from service.web.openapi.build import show_document
from service.web.openapi.streams import operation_of
from service.web.problem_answer import MethodRefused
from service.web.routes import HANDLERS, STREAMS

_PARAMETER = re.compile(r"\{[a-z_]+:(str|int)\}")
_FORMS = {"str": "[^/]+", "int": "[0-9]+"}


@dataclass(frozen=True)
class Place:
    """What can be asked of one path.

    Attributes:
        operations: operation id by method
    """

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
        found = self.operations.get("GET" if method == "HEAD" else method)
        if found is None:
            raise MethodRefused(method, self.allow)
        return found


def place_of(path: str) -> Place | None:
    """Return what can be asked of a path; None where there is nothing.

    >>> place_of("/v1/rulebooks/irc-2021/versions/1").allow, place_of("/v1/rulebooks/irc-2021/versions/one")
    ('DELETE, GET, HEAD, OPTIONS, PATCH', None)
    """
    return next((place for form, place in _places() if form.fullmatch(path)), None)


@cache
def _places() -> tuple[tuple[re.Pattern[str], Place], ...]:
    found: dict[str, Place] = {}
    for path, method, operation in _routes():
        found.setdefault(path, Place()).operations[method] = operation
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
    texts = (re.escape(one) if number % 2 == 0 else _FORMS[one] for number, one in enumerate(parts))
    return re.compile("".join(texts))
