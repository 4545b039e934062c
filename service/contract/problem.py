"""Problem details (RFC 9457) and the faults a refused body is answered with."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import msgspec
from msgspec import Meta


class Allowed(msgspec.Struct, frozen=True, kw_only=True):
    """What would have been accepted in place of the faulty value."""

    min: float | str | None = None
    max: float | str | None = None
    one_of: tuple[str, ...] | None = None
    pattern: str | None = None


class Fault(msgspec.Struct, frozen=True):
    """One thing wrong with a body: where (RFC 6901), which code, in plain words, and what is allowed."""

    pointer: Annotated[str, Meta(description="JSON Pointer into the body", examples=["/levels/0/width_ft"])]
    code: Annotated[str, Meta(pattern=r"^[a-z][a-z0-9_]{2,47}$", examples=["out_of_range"])]
    detail: str
    allowed: Allowed | None = None


class Problem(msgspec.Struct, frozen=True, kw_only=True):
    """An answer that is not a design: application/problem+json."""

    type: Annotated[str, Meta(examples=["/problems/invalid_spec"])]
    code: str
    title: str
    status: int
    detail: str
    instance: str
    request_id: str
    errors: tuple[Fault, ...]


class Rejected(Exception):
    """A body that is refused, with the problem code and every fault found."""

    def __init__(self, code: str, detail: str, faults: tuple[Fault, ...] = ()) -> None:
        super().__init__(f"{code}: {detail}")
        self.code = code
        self.detail = detail
        self.faults = faults


def pointer(*steps: str | int) -> str:
    """Return the JSON Pointer of a place; long names are cut so that a fault stays small.

    >>> pointer("levels", 0, "a/b~c")
    '/levels/0/a~1b~0c'
    """
    return "".join(f"/{_escaped(step)}" for step in steps)


def _escaped(step: str | int) -> str:
    text = str(step)
    text = text if len(text) <= 64 else f"{text[:64]}…"
    return text.replace("~", "~0").replace("/", "~1")


def moved(refused: Rejected, at: str) -> Rejected:
    """Return a refusal of a part as one of the whole: every place in it is under the pointer ``at``.

    >>> moved(Rejected("invalid_spec", "1 fault", (Fault("/levels", "missing", "needed"),)), "/spec").faults[0].pointer
    '/spec/levels'
    """
    return Rejected(refused.code, refused.detail, under(refused.faults, at))


def under(faults: Iterable[Fault], at: str) -> tuple[Fault, ...]:
    """Return faults of a part as faults of the whole.

    >>> under((Fault("", "wrong_type", "an object is needed"),), "/spec")[0].pointer
    '/spec'
    """
    return tuple(msgspec.structs.replace(fault, pointer=at + fault.pointer) for fault in faults)
