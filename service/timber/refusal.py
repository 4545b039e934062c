"""The answer where no rule covers a case."""

from __future__ import annotations

import msgspec


class NoRule(msgspec.Struct, frozen=True):
    """A named refusal: no value, and why.

    Source: convention of this service; no unit.

    >>> NoRule("no design value for 2x14").why
    'no design value for 2x14'
    """

    why: str
