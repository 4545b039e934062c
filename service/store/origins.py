"""Origins of pages, as browsers write them: the only form they are kept and compared in."""

from __future__ import annotations

import ipaddress
import re
from urllib.parse import SplitResult, urlsplit

from service.store.errors import StoreError

_LABEL = "[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?"
_NAME = re.compile(rf"(?=.{{1,253}}\Z){_LABEL}(\.{_LABEL})*")
_USUAL_PORTS = {"https": 443, "http": 80}


def origin_of(text: str) -> str:
    """Return the origin a text names, as a browser writes it in its `Origin` header.

    A name that is not ASCII has to be given as browsers send it, beginning with `xn--`.

    Raises:
        StoreError: it names no single origin, or one whose pages could be changed on their way

    >>> origin_of("https://Yard.Example:443/"), origin_of("http://localhost:8080")
    ('https://yard.example', 'http://localhost:8080')
    """
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        raise _refused(text) from None
    host = parts.hostname or ""
    if not text.isprintable() or port == 0 or _has_more(parts, text) or not _is_host(host):
        raise _refused(text)
    if parts.scheme != "https" and not (parts.scheme == "http" and is_loopback(host)):
        raise StoreError(f"{text!r} is not https: a page that can be changed on its way may not use a key")
    shown = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{shown}" + ("" if port in (None, _USUAL_PORTS[parts.scheme]) else f":{port}")


def is_loopback(host: str) -> bool:
    """Return whether only this machine can reach an address.

    >>> is_loopback("127.0.0.1"), is_loopback("localhost"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _has_more(parts: SplitResult, text: str) -> bool:
    """Whether there is anything but scheme, host and port; an empty query or name counts too."""
    return parts.path not in ("", "/") or any(sign in text for sign in " ?#@*%\\")


def _is_host(host: str) -> bool:
    if _NAME.fullmatch(host):
        # a last label of digits makes an address of it, in more forms than one
        return not host.rpartition(".")[2].isdigit() or _is_address(host)
    return ":" in host and _is_address(host)


def _is_address(host: str) -> bool:
    try:
        return str(ipaddress.ip_address(host)) == host
    except ValueError:
        return False


def _refused(text: str) -> StoreError:
    return StoreError(
        f"{text!r} is no origin: give scheme, host and perhaps port of one page, for example https://yard.example"
    )
