"""What the text of a setting may be, and the value it is read as."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

Convert = Callable[[str], Any]
SECRETS = frozenset({"password", "sslpassword"})


class SettingError(ValueError):
    """An environment variable holds a value the service cannot use; the message names it and the range."""


def whole(least: int, most: int) -> Convert:
    """Return what reads a whole number within two bounds."""

    def convert(text: str) -> int:
        if not (text.isascii() and text.isdigit() and least <= int(text) <= most):
            raise SettingError(f"must be a whole number from {least} to {most}, not {text!r}")
        return int(text)

    return convert


def database_url(text: str) -> str:
    """Return the URL of a database, in one spelling."""
    if not text.startswith(("postgresql://", "postgres://")):
        raise SettingError("must begin with postgresql://, for example postgresql://user@host/database")
    named = {name.lower() for name, _ in parse_qsl(urlsplit(text).query, keep_blank_values=True)}
    if named & SECRETS:
        raise SettingError(
            "must have its password before the @: what stands behind the ? is shown and logged"
        )
    return "postgresql://" + text.split("://", 1)[1]


def folder(text: str) -> Path:
    """Return a folder as a path from the root."""
    return Path(text).expanduser().resolve()


_HOST = re.compile(r"(?=.{1,253}\Z)[a-z0-9]([a-z0-9-]{0,62})(\.[a-z0-9]([a-z0-9-]{0,62}))*|\[[0-9a-f:]+\]")


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip().lower() for part in text.split(","))


def hosts(text: str) -> tuple[str, ...]:
    """Return host names without port, in small letters."""
    for one in _listed(text):
        if not _HOST.fullmatch(one):
            raise SettingError(f"must be host names without port, separated by commas, not {one!r}")
    return _listed(text)


def networks(text: str) -> tuple[str, ...]:
    """Return addresses and networks."""
    for one in _listed(text):
        try:
            ipaddress.ip_network(one)
        except ValueError:
            raise SettingError(f"must be addresses or networks, separated by commas, not {one!r}") from None
    return _listed(text)


class Concealed(str):
    """A text that is not shown: it may hold a password."""

    __slots__ = ()


def pairs(text: str) -> dict[str, str]:
    """Return the pairs of a text as OpenTelemetry's variables have them.

    >>> pairs("a=1, b=x%20y")
    {'a': '1', 'b': 'x y'}
    """
    parts = (one.partition("=") for one in text.split(",") if one.strip())
    return {name.strip(): unquote(value.strip()) for name, _, value in parts}


_PAIR = re.compile(r"\s*[A-Za-z0-9_.!#$&'*+^`|~-]{1,256}\s*=[\x20-\x2b\x2d-\x7e]*")


def pairs_text(text: str) -> str:
    """Return a text of pairs as it stands, if `pairs` can read it."""
    if not all(_PAIR.fullmatch(one) for one in text.split(",")):
        raise SettingError("must be pairs name=value, separated by commas")
    return text


def concealed_pairs(text: str) -> Concealed:
    """Return a text of pairs that is not shown."""
    return Concealed(pairs_text(text))


def http_url(text: str) -> str:
    """Return an HTTP URL as it stands."""
    if not re.fullmatch(r"https?://[^\s/]+(/\S*)?", text):
        raise SettingError("must begin with http:// or https://, for example http://collector.example:4318")
    return text


def one_of(*words: str) -> Convert:
    """Return what reads one of some words, in small letters."""

    def convert(text: str) -> str:
        if text.lower() not in words:
            raise SettingError(f"must be one of {', '.join(words)}, not {text!r}")
        return text.lower()

    return convert


def share(text: str) -> float:
    """Return a share, 0 to 1."""
    if not re.fullmatch(r"0(\.\d{1,9})?|1(\.0{1,9})?", text):
        raise SettingError(f"must be a number from 0 to 1, not {text!r}")
    return float(text)
