"""What every answer says of itself, and who may keep it."""

from __future__ import annotations

from service.web.asgi import Header, Message, Scope, Send, values_of, without
from service.web.chosen import new_choice
from service.web.cors import ORIGIN, VARY, answer_headers
from service.web.keys import AUTHORIZATION

CACHE_CONTROL = b"cache-control"
DESCRIBED = (b"link", b'</openapi.json>; rel="service-desc"; type="application/vnd.oai.openapi+json"')


def is_interface(path: str) -> bool:
    """Return whether a path is one of the interface, not of the pages."""
    return path == "/v1" or path.startswith("/v1/")


def is_shared(path: str) -> bool:
    """Return whether pages of other origins may have it: one that holds the form takes its scripts from here."""
    return is_interface(path) or path.startswith("/assets/")


class Keeping:
    """Who may keep an answer, whatever it is: it may depend on the key, and then hold prices.

    An answer to a key is kept by nobody. One without is told apart from those, unless it says itself that it is
    public: then no key changes what it says. Which page may read it depends on the page's origin, always.
    """

    def __init__(self, scope: Scope, path: str) -> None:
        self.keyed = any(name.lower() == AUTHORIZATION for name, _ in scope["headers"])
        self.by_key = is_interface(path)
        self.by_origin = is_shared(path)

    def headers(self, given: list[Header]) -> list[Header]:
        """Return the headers of an answer with what caches go by."""
        found = without(given, CACHE_CONTROL) if self.keyed else given
        public = any(one.startswith("public") for one in values_of(found, CACHE_CONTROL))
        if self.keyed:
            found = [*found, (CACHE_CONTROL, b"private, no-store")]
        by_key = [AUTHORIZATION.title()] if self.by_key and not public else []
        return _varied(found, by_key + ([ORIGIN.title()] if self.by_origin else []))


def _varied(headers: list[Header], also: list[bytes]) -> list[Header]:
    """The headers with more of the request among what the answer depends on."""
    before = [value.encode("latin-1") for value in values_of(headers, VARY)]
    others = without(headers, VARY)
    return [*others, (VARY, b", ".join([*before, *also]))] if before or also else others


class Answer:
    """Sends an answer on, with the headers every one has; the body of an answer to HEAD is left out.

    Attributes:
        began: whether any of it was sent
        origin: of the page that may read it, where it is another's and registered
        told: more headers it has, whatever comes of the request
    """

    def __init__(self, send: Send, scope: Scope, path: str, request_id: str, engine_version: str) -> None:
        self.began = False
        self.origin: str | None = None
        self.keeping = Keeping(scope, path)
        self.told = [
            (b"x-request-id", request_id.encode()),
            (b"x-content-type-options", b"nosniff"),
            (b"deck-engine", engine_version.encode()),
            *([DESCRIBED] if is_interface(path) else []),
        ]
        self._send = send
        self._head = scope["method"] == "HEAD"
        self._chosen = new_choice()

    async def __call__(self, message: Message) -> None:
        """Send one message."""
        if message["type"] == "http.response.start":
            self.began = True
            await self._send({**message, "headers": self._headers(message["headers"])})
        elif message["type"] == "http.response.body" and self._head:
            await self._send({**message, "body": b""})
        else:
            await self._send(message)

    def _headers(self, given: list[Header]) -> list[Header]:
        shared = [] if self.origin is None else answer_headers(self.origin)
        return [*self.keeping.headers(list(given)), *shared, *self.told, *self._chosen.items()]
