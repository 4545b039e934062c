"""What a request calls, in fixed words, whatever its path."""

from __future__ import annotations

from dataclasses import dataclass

METHODS = frozenset({"GET", "HEAD", "POST", "PATCH", "PUT", "DELETE", "OPTIONS"})
OTHER_METHOD = "other"


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


def fixed_method(method: str) -> str:
    """Return a method in fixed words.

    >>> fixed_method("POST"), fixed_method("SECRET")
    ('POST', 'other')
    """
    return method if method in METHODS else OTHER_METHOD
