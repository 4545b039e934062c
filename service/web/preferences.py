"""What a caller likes best: lists with weights, as Accept and Accept-Encoding have them (RFC 9110, 12.4.2)."""

from __future__ import annotations

import re

_WORD = r"[!#$%&'*+.^_`|~0-9A-Za-z-]+"
_ELEMENT = re.compile(rf"\s*({_WORD}(?:/{_WORD})?)\s*((?:;.*)?)", re.DOTALL)
_WEIGHT = re.compile(r";\s*[qQ]\s*=\s*([^;]*)")
_NUMBER = re.compile(r"1(\.0*)?|0?\.[0-9]+|0\.?")


def weights(given: str) -> dict[str, float]:
    """Return the weight of each element of a list, by its name in small letters without other parameters.

    An element that is malformed, or whose weight is none, is passed over; of one given twice the greater weight
    holds. `.2` and a bare `*` are taken for what old clients mean by them.

    >>> weights("text/csv;q=0.5, Application/JSON;charset=utf-8, ;q=1, a b, text/html;q=high, *; q=.2")
    {'text/csv': 0.5, 'application/json': 1.0, '*': 0.2}
    """
    found: dict[str, float] = {}
    for element in given.split(","):
        match = _ELEMENT.fullmatch(element)
        weight = None if match is None else _weight(match[2])
        if match is not None and weight is not None:
            name = match[1].lower()
            found[name] = max(weight, found.get(name, 0.0))
    return found


def _weight(parameters: str) -> float | None:
    given = _WEIGHT.search(parameters)
    if given is None:
        return 1.0
    number = given[1].strip()
    return float(number) if _NUMBER.fullmatch(number) else None


def weight_of(media_type: str, asked: dict[str, float]) -> float:
    """Return the weight of a media type: that of the range that fits it best, 0 where none does.

    >>> asked = weights("text/csv;q=0, text/*;q=0.5, */*;q=0.1")
    >>> [weight_of(one, asked) for one in ("text/csv", "text/html", "image/png")]
    [0.0, 0.5, 0.1]
    """
    bare = media_type.partition(";")[0].strip()
    fitting = (bare, f"{bare.partition('/')[0]}/*", "*/*", "*")
    return next((asked[one] for one in fitting if one in asked), 0.0)
