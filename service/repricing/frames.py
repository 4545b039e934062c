"""The frame a quote was made for against the frame chosen freely now."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any, Literal, TypeVar

import msgspec

from service.contract.money import money
from service.contract.report import DesignReport
from service.contract.repricing_answer import FrameChange, FrameCost
from service.contract.spec import DeckSpec
from service.units.text import feet_inches

Source = Literal["pins", "previous_price_book"]
Value = TypeVar("Value")
SIZES = ("joist_size", "joist_spacing_in", "beam_size", "beam_plies", "post_size")
RANK = ("prescriptive", "engineer_required", "not_permitted")


def has_pins(spec: DeckSpec) -> bool:
    """Return whether a spec asks for any size."""
    return any(getattr(spec.framing, name) is not None for name in SIZES)


def freed(spec: DeckSpec) -> DeckSpec:
    """Return a spec in which every size is chosen, by cost; attachment, placement, direction and method stay."""
    free: dict[str, Any] = dict.fromkeys(SIZES)
    return msgspec.structs.replace(
        spec, framing=msgspec.structs.replace(spec.framing, **free, objective="cost")
    )


def sizes_of(report: DesignReport) -> tuple[frozenset[Any], ...]:
    """Return every size in a frame, how it is held up and which way it runs: what is meant by the same frame."""
    joists = [group for level in report.levels for group in level.joists]
    beams = [beam for level in report.levels for beam in level.beams]
    return (
        frozenset((one.size, one.spacing_in, one.direction) for one in joists),
        frozenset((one.size, one.plies, one.placement) for one in beams),
        frozenset(one.size for one in report.posts),
        frozenset(one.method for one in report.footings),
        frozenset({report.attachment.kind}),
    )


def pinned(spec: DeckSpec, quoted: DesignReport) -> DeckSpec:
    """Return a spec that asks for the sizes of a frame, as far as they are the same all over the deck."""
    joists = [group for level in quoted.levels for group in level.joists]
    beams = [beam for level in quoted.levels for beam in level.beams]
    wishes: dict[str, Any] = {
        "joist_size": _only(one.size for one in joists),
        "joist_spacing_in": _only(one.spacing_in for one in joists),
        "joist_direction": _only(one.direction for one in joists),
        "beam_size": _only(one.size for one in beams),
        "beam_plies": _only(one.plies for one in beams),
        "beam_placement": _only(one.placement for one in beams),
        "post_size": _only(one.size for one in quoted.posts),
        "attachment": quoted.attachment.kind,
    }
    known = {name: value for name, value in wishes.items() if value is not None}
    method = _only(one.method for one in quoted.footings) or spec.foundation.method
    return msgspec.structs.replace(
        spec,
        framing=msgspec.structs.replace(spec.framing, **known),
        foundation=msgspec.structs.replace(spec.foundation, method=method),
    )


def _only(values: Iterable[Value]) -> Value | None:
    found = set(values)
    return found.pop() if len(found) == 1 else None


def frame_change(kept: DesignReport, free: DesignReport, quoted_from: Source) -> FrameChange | None:
    """Return whether the free frame is now cheaper than the kept one; None where either has no order."""
    ours, theirs = _cost(kept), _cost(free)
    if ours is None or theirs is None:
        return None
    cheaper = _beats(theirs, ours) and sizes_of(free) != sizes_of(kept)
    saving = Decimal(ours.total.amount) - Decimal(theirs.total.amount) if cheaper else Decimal(0)
    return FrameChange(
        another_frame_cheaper=cheaper,
        quoted_from=quoted_from,
        kept=ours,
        cheapest=theirs if cheaper else ours,
        saving=money(ours.total.currency, saving),
    )


def _cost(report: DesignReport) -> FrameCost | None:
    total = report.takeoff.total
    if total is None:
        return None
    return FrameCost(summary=frame_in_words(report), total=total, verdict=report.verdict.status)


def _beats(one: FrameCost, other: FrameCost) -> bool:
    whole = one.total.complete and other.total.complete
    stands = RANK.index(one.verdict) <= RANK.index(other.verdict)
    return whole and stands and Decimal(one.total.amount) < Decimal(other.total.amount)


def frame_in_words(report: DesignReport) -> str:
    """Return the frame of a design in one line."""
    beams = [beam for level in report.levels for beam in level.beams]
    joists = dict.fromkeys(
        f"{x.size} at {x.spacing_in:g} in" for level in report.levels for x in level.joists
    )
    kinds = dict.fromkeys(f"{x.plies}-ply {x.size} {x.placement}" for x in beams)
    longest = max((span for beam in beams for span in beam.spans_in), default=0.0)
    return (
        f"{'ledger' if report.attachment.kind == 'ledger' else 'free-standing'}, {' and '.join(joists)}, "
        f"{len(beams)} x {' and '.join(kinds)}, {len(report.footings)} footings, "
        f"beam spans to {feet_inches(longest)}"
    )
