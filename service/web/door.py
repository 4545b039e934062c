"""Whom the service lets in: under which host names, with or without a key, and to what with a publishable one.

On loopback no key is needed to read and to design. A page of anyone's may then have a browser of this machine ask
for it under a name that leads here (DNS rebinding), so there only the names of this machine are taken.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from service.contract.problem import Rejected
from service.store.origins import is_loopback
from service.web.asgi import Headers, Scope, values_of
from service.web.caller import NEEDS_KEY, NOBODY, Caller

READS = ("GET", "HEAD")
THIS_MACHINE = frozenset({"localhost", "127.0.0.1", "[::1]"})
# Public law: citations lead there, so whoever holds an answer can follow them.
PUBLIC = ("/v1/rulebooks", "/v1/jurisdictions")
PAGE_READS = ("/v1/options", *PUBLIC)
PAGE_CALLS = (
    "/v1/designs", "/v1/takeoffs", "/v1/footing-comparisons", "/v1/drawings", "/v1/permit-packages",
    "/v1/stair-layouts", "/v1/member-checks",
)  # fmt: skip
_HOST = re.compile(r"(\[[0-9a-f:.]+\]|[^:\[\]]+)(:[0-9]{0,5})?")


@dataclass(frozen=True)
class Door:
    """What is asked of a request before it is answered; by default nothing.

    Attributes:
        hosts: names it may come under, with any port; None for any name
        keyless: whether reading and designing need no key
        on_loopback: whether that holds for connections within this machine alone
    """

    hosts: frozenset[str] | None = None
    keyless: bool = True
    on_loopback: bool = False

    def check_host(self, headers: Headers) -> None:
        """Refuse a request that comes under another host name.

        Raises:
            Rejected: wrong_host
        """
        if self.hosts is None:
            return
        sent = values_of(headers, b"host")
        found = _HOST.fullmatch(sent[0].lower()) if len(sent) == 1 else None
        if found is None or found[1] not in self.hosts:
            raise Rejected("wrong_host", "this service is not served under the host name of this request")

    def check_caller(self, scope: Scope, path: str, caller: Caller) -> None:
        """Refuse a caller who has no key and needs one, or whose publishable key is not for this call.

        Raises:
            Rejected: unauthenticated, scope_missing
        """
        if caller.publishable and not _is_for_pages(scope["method"], path):
            raise Rejected(
                "scope_missing", "a publishable key reads the rules and designs, and does nothing else"
            )
        if caller is NOBODY and not (self._is_keyless(scope) or _is_public(scope["method"], path)):
            raise Rejected("unauthenticated", NEEDS_KEY)

    def _is_keyless(self, scope: Scope) -> bool:
        if not (self.keyless and self.on_loopback):
            return self.keyless
        # whoever starts the application otherwise than we do may listen elsewhere than was said
        return is_loopback((scope.get("server") or ("",))[0])


def door_of(host: str, names: Sequence[str] = ()) -> Door:
    """Return the door of a service.

    Args:
        host: address it listens on
        names: host names it is told to be served under

    >>> door_of("127.0.0.1").keyless, door_of("0.0.0.0").keyless, door_of("127.0.0.1", ["decks.example"]).keyless
    (True, False, False)
    """
    if names:
        return Door(frozenset(names), keyless=False)
    if is_loopback(host):
        shown = f"[{host}]" if ":" in host else host
        return Door(THIS_MACHINE | {shown}, on_loopback=True)
    return Door(keyless=False)


def _is_public(method: str, path: str) -> bool:
    return method in READS and _is_under(PUBLIC, path)


def _is_for_pages(method: str, path: str) -> bool:
    return (method == "POST" and path in PAGE_CALLS) or (method in READS and _is_under(PAGE_READS, path))


def _is_under(places: Sequence[str], path: str) -> bool:
    return any(path == place or path.startswith(f"{place}/") for place in places)
