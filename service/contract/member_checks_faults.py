"""Faults between the fields of a member check that is well formed field by field."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.faults import FIRST_DAY, LAST_DAY
from service.contract.member_checks import (
    BeamCheckSpec,
    FootingCheckSpec,
    GuardPostCheckSpec,
    JoistCheckSpec,
    MemberCheckSpec,
    PostCheckSpec,
)
from service.contract.problem import Allowed, Fault, pointer


def member_check_faults(spec: MemberCheckSpec) -> Iterator[Fault]:
    """Yield the faults between the fields of a member check.

    >>> joist = JoistCheckSpec(rulebook="irc-2021", species="hem_fir", size="2x8", spacing_in=16.0)
    >>> [(fault.pointer, fault.code) for fault in member_check_faults(joist)]
    [('/ground_snow_load_psf', 'missing')]
    """
    # A body of no known kind has its fault already, and is then no more than plain JSON.
    if not isinstance(spec, MemberCheckSpec):
        return
    yield from _common(spec)
    if isinstance(spec, JoistCheckSpec):
        yield from _joist(spec)
    elif isinstance(spec, BeamCheckSpec):
        yield from _beam(spec)
    elif isinstance(spec, PostCheckSpec):
        yield from _load(spec)
    elif isinstance(spec, FootingCheckSpec):
        yield from (*_load(spec), *_soil(spec))


def _common(spec: MemberCheckSpec) -> Iterator[Fault]:
    # A guard post carries its own load; every other member stands or falls with the snow.
    unplaced = spec.jurisdiction is None and not isinstance(spec, GuardPostCheckSpec)
    if unplaced and spec.ground_snow_load_psf is None:
        detail = "give the ground snow load, or a jurisdiction that has one; 0 where there is none"
        yield Fault(pointer("ground_snow_load_psf"), "missing", detail)
    if spec.as_of is not None and not FIRST_DAY <= spec.as_of <= LAST_DAY:
        allowed = Allowed(min=FIRST_DAY.isoformat(), max=LAST_DAY.isoformat())
        detail = f"{spec.as_of} is not within {FIRST_DAY} to {LAST_DAY}"
        yield Fault(pointer("as_of"), "date_out_of_range", detail, allowed)


def _joist(spec: JoistCheckSpec) -> Iterator[Fault]:
    if spec.cantilever_in and spec.span_in is None and spec.back_span_in is None:
        yield Fault(
            pointer("back_span_in"), "missing", "a cantilever is judged by the span of the bay beside it"
        )


def _beam(spec: BeamCheckSpec) -> Iterator[Fault]:
    if not spec.size.startswith("2x") and spec.plies > 1:
        detail = f"a {spec.size} beam has one ply"
        yield Fault(pointer("plies"), "out_of_range", detail, Allowed(min=1.0, max=1.0))
    if spec.overhang_in and spec.span_in is None:
        yield Fault(pointer("span_in"), "missing", "an overhang is judged by the span beside it")
    yield from _both_sides(spec) if spec.joists_on_both_sides else _one_side(spec)


def _both_sides(spec: BeamCheckSpec) -> Iterator[Fault]:
    for name in ("far_joist_span_ft", "joists_over_beam"):
        if getattr(spec, name) is None:
            yield Fault(pointer(name), "missing", "needed where joists bear on the beam from both sides")
    if spec.joist_cantilever_ft:
        detail = "joists on both sides of the beam do not end past it"
        yield Fault(pointer("joist_cantilever_ft"), "out_of_range", detail, Allowed(min=0.0, max=0.0))


def _one_side(spec: BeamCheckSpec) -> Iterator[Fault]:
    for name in ("far_joist_span_ft", "joists_over_beam"):
        if getattr(spec, name) is not None:
            yield Fault(pointer(name), "both_given", "only with joists_on_both_sides")


def _load(spec: PostCheckSpec | FootingCheckSpec) -> Iterator[Fault]:
    if spec.load_lb is None and spec.tributary_sqft is None:
        yield Fault(pointer("load_lb"), "missing", "give load_lb, or else tributary_sqft")
    if spec.load_lb is not None and spec.tributary_sqft is not None:
        yield Fault(pointer("tributary_sqft"), "both_given", "give either load_lb or tributary_sqft")


def _soil(spec: FootingCheckSpec) -> Iterator[Fault]:
    if spec.soil_bearing_psf is None and spec.jurisdiction is None:
        detail = "give the soil bearing, or a jurisdiction that has one"
        yield Fault(pointer("soil_bearing_psf"), "missing", detail)
    if spec.own_weight_rule in ("full", "net_of_soil") and spec.concrete_length_in is None:
        detail = f"needed to weigh the concrete by the rule {spec.own_weight_rule}"
        yield Fault(pointer("concrete_length_in"), "missing", detail)
