"""One spec of a batch, designed."""

from __future__ import annotations

from service.contract.stream import DesignBatchResult, summary_of
from service.pipeline import design
from service.web.desk import Desk
from service.web.resolve import context_of, read_spec
from service.web.streams.messages import Call


def design_line(number: int, text: bytes, call: Call, desk: Desk) -> DesignBatchResult:
    """Return the answer to a spec.

    Raises:
        Rejected: as a call with this spec alone would be
    """
    spec = read_spec(text, desk, call.caller)
    full = call.options["view"] == "full"
    report = design(spec, context_of(spec, desk, call.caller), with_wishes=full)
    return DesignBatchResult(
        line=number,
        reference=report.reference,
        summary=None if full else summary_of(report),
        design=report if full else None,
    )
