"""The canonical JSON text of a value (RFC 8785) and its digest."""

from __future__ import annotations

import hashlib
import json
import math
from typing import Any

import msgspec

_EXACT = 2**53


def canonical(value: Any) -> str:
    """Return the one text of a value under RFC 8785: no spaces, sorted names, shortest numbers.

    Args:
        value: plain JSON values, or message structs, which are turned into them first.

    Raises:
        ValueError: a number that no double holds exactly, NaN, Infinity, half a surrogate pair.

    >>> canonical({"b": [1.0, 1e21], "a": None})
    '{"a":null,"b":[1,1e+21]}'
    """
    return _text(msgspec.to_builtins(value))


def digest(value: Any) -> str:
    """Return the SHA-256 of the canonical text as 64 lower-case hex digits.

    >>> digest({})
    '44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a'
    """
    return digest_of_text(canonical(value))


def digest_of_text(text: str) -> str:
    """Return the SHA-256 of a text's UTF-8 bytes as 64 lower-case hex digits.

    >>> digest_of_text("")[:16]
    'e3b0c44298fc1c14'
    """
    return hashlib.sha256(text.encode()).hexdigest()


def number(value: float) -> str:
    """Return a number as ECMAScript prints it (RFC 8785 section 3.2.2.3).

    >>> [number(x) for x in (-0.0, 4.5, 1e-7, 0.000001, 1e20, 1e21)]
    ['0', '4.5', '1e-7', '0.000001', '100000000000000000000', '1e+21']
    """
    if not math.isfinite(value):
        raise ValueError("NaN and Infinity have no canonical form")
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    return sign + _layout(*_digits(abs(float(value))))


def _digits(value: float) -> tuple[str, int]:
    """Shortest digits that read back as the value, and where the decimal point stands after the first."""
    mantissa, _, exponent = repr(value).partition("e")
    whole, _, fraction = mantissa.partition(".")
    digits = (whole + fraction).lstrip("0")
    leading = len(whole + fraction) - len(digits)
    return digits.rstrip("0"), len(whole) - leading + int(exponent or 0)


def _layout(digits: str, point: int) -> str:
    if 0 < point <= 21:
        padded = digits.ljust(point, "0")
        return padded[:point] + ("." + padded[point:] if padded[point:] else "")
    if -6 < point <= 0:
        return "0." + "0" * -point + digits
    mantissa = digits[0] + ("." + digits[1:] if digits[1:] else "")
    return f"{mantissa}e{point - 1:+d}"


def _text(value: Any) -> str:
    if isinstance(value, dict):
        names = sorted(value, key=_utf16)
        return "{" + ",".join(f"{_quoted(name)}:{_text(value[name])}" for name in names) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join(_text(item) for item in value) + "]"
    if isinstance(value, str):
        return _quoted(value)
    if value is None or isinstance(value, bool):
        return json.dumps(value)
    if isinstance(value, int) and abs(value) > _EXACT:
        raise ValueError(f"{value} is beyond the whole numbers a double holds exactly")
    return number(value)


def _quoted(text: str) -> str:
    # a lone surrogate has no UTF-8 form: the encoding raises UnicodeEncodeError, a ValueError
    text.encode()
    return json.dumps(text, ensure_ascii=False)


def _utf16(name: str) -> bytes:
    return name.encode("utf-16-be")
