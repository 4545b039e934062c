"""What will be withdrawn: one table, from which the headers of answers and the marks in the document follow.

`Deprecation` is RFC 9745, `Sunset` RFC 8594.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime

from service.web.asgi import Header, as_headers


@dataclass(frozen=True)
class Deprecation:
    """An operation, or a field of a request or an answer, that callers are to leave.

    Attributes:
        operations: operation ids; for a field, those that take it or answer with it
        since: moment it is deprecated from, with its time zone; it may be to come
        sunset: moment from which it may be gone, in UTC; None while none is set
        link: page that says what to use instead
        field: as `DeckSpec.reference`, where no whole operation is meant
    """

    operations: tuple[str, ...]
    since: datetime
    sunset: datetime | None
    link: str
    field: str | None = None

    def headers(self) -> list[Header]:
        """Return what an answer says of it."""
        told = {"Deprecation": f"@{int(self.since.timestamp())}"}
        if self.sunset is not None:
            told["Sunset"] = format_datetime(self.sunset, usegmt=True)
        return as_headers({**told, "Link": f'<{self.link}>; rel="deprecation"; type="text/html"'})


DEPRECATIONS: tuple[Deprecation, ...] = ()


def deprecation_of(operation: str, table: Sequence[Deprecation]) -> Deprecation | None:
    """Return what is deprecated of an operation: all of it before a field, one that goes sooner before others."""
    found = [one for one in table if operation in one.operations]
    return min(found, key=_urgency, default=None)


def _urgency(one: Deprecation) -> tuple[bool, float]:
    return one.field is not None, float("inf") if one.sunset is None else one.sunset.timestamp()
