"""The parameters of NDJSON calls: read here, since the framework reads none for a raw handler, and documented."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from litestar import Request

from service.contract.problem import Allowed, Fault, pointer
from service.contract.spec import PINNED_ID, VERSIONED_ID
from service.web.queries import faults_of_names, invalid_query


@dataclass(frozen=True)
class Parameter:
    """A parameter of the query.

    Attributes:
        name: as it is given
        description: what it does
        pattern: form of its text
        example: a value that can be used
        words: the only values it may have, where it has a list
        default: value when it is absent
        whole: whether it is a whole number
        required: whether it has to be given
        longest: most characters
    """

    name: str
    description: str
    pattern: str
    example: str
    words: tuple[str, ...] = ()
    default: str = ""
    whole: bool = False
    required: bool = False
    longest: int = 47

    def faults(self, given: str) -> list[Fault]:
        """Return what is wrong with a value."""
        if self.words and given not in self.words:
            return [
                Fault(
                    pointer(self.name),
                    "not_in_list",
                    "not one of the values allowed",
                    Allowed(one_of=self.words),
                )
            ]
        if len(given) > self.longest:
            detail = f"{len(given)} characters given, at most {self.longest} taken"
            return [Fault(pointer(self.name), "too_long", detail, Allowed(max=float(self.longest)))]
        if re.fullmatch(self.pattern, given):
            return []
        detail = f"the text does not have the form needed here; for example {self.example}"
        return [Fault(pointer(self.name), "bad_pattern", detail, Allowed(pattern=self.pattern))]


FIRST_LINE = Parameter(
    "first_line",
    "Number of the first line to be answered, from 1. An answer that was cut off is resumed by sending the same "
    "body again from the line after the last one that came; lines keep their numbers.",
    "^[1-9][0-9]{0,8}$",
    "1",
    default="1",
    whole=True,
)
VIEW = Parameter(
    "view",
    "How much of each design: a summary, or the whole report",
    "^[a-z]+$",
    "summary",
    words=("summary", "full"),
    default="summary",
)
PRICE_BOOK = Parameter(
    "price_book",
    "Price book to price by, or one version of it; an id alone means the version whose prices hold "
    "today; may be left out with a key that a price book is bound to",
    VERSIONED_ID,
    "brindlemoor-yard",
)
FROM = Parameter(
    "from",
    "Version of a rulebook that designs are made by now",
    PINNED_ID,
    "irc-2021@1",
    required=True,
)
TO = Parameter(
    "to",
    "Version that takes its place; it need not be in force yet, nor be of the same rulebook",
    PINNED_ID,
    "irc-2021@2",
    required=True,
)


def read_query(request: Request[Any, Any, Any], known: tuple[Parameter, ...]) -> dict[str, str]:
    """Return every parameter given, and the defaults of those that are not.

    Raises:
        Rejected: invalid_query, with every fault
    """
    faults = faults_of_names(request, tuple(sorted(one.name for one in known)))
    given = {one.name: request.query_params.get(one.name, one.default) for one in known}
    for one in known:
        if one.name in request.query_params:
            faults += one.faults(given[one.name])
        elif one.required:
            detail = f"this call needs it; for example {one.example}"
            faults.append(Fault(pointer(one.name), "missing", detail, Allowed(pattern=one.pattern)))
    if faults:
        raise invalid_query(faults)
    return given
