"""The answer lines of NDJSON calls, told apart by their kind."""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.design_part import DesignPart, part_fields
from service.contract.problem import Problem
from service.contract.report import DesignReport
from service.contract.report_order import OrderTotal
from service.contract.repricing_answer import Repricing
from service.contract.rule_impact import RuleImpact
from service.units.rounding import number

View = Literal["summary", "full"]


class StreamProblem(msgspec.Struct, frozen=True, kw_only=True, tag_field="kind", tag="problem"):
    """A line that could not be used; the lines after it are answered all the same."""

    line: int
    reference: str | None
    problem: Problem


class StreamEnd(msgspec.Struct, frozen=True, kw_only=True, tag_field="kind", tag="end"):
    """The last line of an answer. Without it the answer was cut off: send again from the line after the last."""

    lines: int
    results: int
    problems: int


class DesignSummary(DesignPart, frozen=True, kw_only=True):
    """The few figures of a design that a list of many shows."""

    attachment: Literal["ledger", "freestanding"]
    objective_used: Literal["cost", "fewest_footings", "stiffness", "no_prices"]
    area_sqft: float
    footing_count: int
    footing_methods: tuple[str, ...]
    recommended: str | None
    total: OrderTotal | None
    days: float | None


class DesignBatchResult(msgspec.Struct, frozen=True, kw_only=True, tag_field="kind", tag="result"):
    """A spec's answer: its summary or the whole design, by the view asked for; the other is null."""

    line: int
    reference: str | None
    summary: DesignSummary | None
    design: DesignReport | None


class RepricingResult(msgspec.Struct, frozen=True, kw_only=True, tag_field="kind", tag="result"):
    """An open quote's answer."""

    line: int
    reference: str
    repricing: Repricing


class RuleImpactResult(msgspec.Struct, frozen=True, kw_only=True, tag_field="kind", tag="result"):
    """What the other version changes of one spec.

    ``designed_by`` is the version the spec names or that is in force. Where that is of another rulebook than the one
    asked about, the spec is not touched: ``applies`` and ``changed`` are false, and ``impact`` is null.
    """

    line: int
    reference: str | None
    designed_by: str
    applies: bool
    changed: bool
    impact: RuleImpact | None


DesignBatchLine = DesignBatchResult | StreamProblem | StreamEnd
RepricingLine = RepricingResult | StreamProblem | StreamEnd
RuleImpactLine = RuleImpactResult | StreamProblem | StreamEnd


def summary_of(report: DesignReport) -> DesignSummary:
    """Return the summary of a design."""
    chosen = (one.days for one in report.attachment.options if one.kind == report.attachment.kind)
    return DesignSummary(
        **part_fields(report),
        attachment=report.attachment.kind,
        objective_used=report.objective_used,
        area_sqft=number(sum(level.area_sqft for level in report.levels), "sqft"),
        footing_count=len(report.footings),
        footing_methods=tuple(sorted({footing.method for footing in report.footings})),
        recommended=report.footing_comparison.recommended,
        total=report.takeoff.total,
        days=next(chosen, None),
    )
