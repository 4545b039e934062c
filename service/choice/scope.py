"""What this version does not frame at all."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.spec import DeckSpec


def _reasons(spec: DeckSpec) -> Iterator[str]:
    if spec.framing.material != "sawn_lumber":
        yield f"Frames of {spec.framing.material.replace('_', ' ')} are not designed by this version."


def outside_scope(spec: DeckSpec) -> tuple[str, ...]:
    """Return why a spec can't be framed by this version; empty where it can."""
    return tuple(_reasons(spec))
