"""What every answer from a design carries: its id, verdict, cautions and versions, in JSON and as headers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from litestar import Response

from service.contract.design_part import DesignPart, part_fields
from service.contract.problem import Rejected, moved
from service.contract.report import DesignReport
from service.contract.report_comparison import FootingComparison
from service.contract.report_order import Takeoff
from service.contract.spec import DeckSpec
from service.pipeline import design
from service.web.caller import Caller
from service.web.desk import Desk
from service.web.negotiate import CSV, JSON, PDF, SVG, VARY
from service.web.resolve import SPEC, context_of
from service.web.seen.request import after_waiting, stage

# What is in a file may load and run nothing, wherever it is opened.
SEALED = "default-src 'none'; sandbox"
ENDINGS = {PDF: "pdf", SVG: "svg"}
# What writing is called where it is timed.
WRITTEN = {JSON: "encode", CSV: "encode", SVG: "svg", PDF: "pdf"}


class TakeoffAnswer(DesignPart, frozen=True, kw_only=True):
    """The takeoff alone, with the verdict and cautions of the design it belongs to."""

    takeoff: Takeoff


class FootingComparisonAnswer(DesignPart, frozen=True, kw_only=True):
    """The footing comparison alone, with the verdict and cautions of the design it belongs to."""

    footing_comparison: FootingComparison


Part = TakeoffAnswer | FootingComparisonAnswer


def takeoff_of(report: DesignReport) -> TakeoffAnswer:
    """Return the takeoff of a design."""
    return TakeoffAnswer(**part_fields(report), takeoff=report.takeoff)


def comparison_of(report: DesignReport) -> FootingComparisonAnswer:
    """Return the footing comparison of a design."""
    return FootingComparisonAnswer(**part_fields(report), footing_comparison=report.footing_comparison)


async def answer_from_design(
    spec: DeckSpec,
    desk: Desk,
    caller: Caller,
    write: Callable[[DesignReport], bytes],
    media_type: str = JSON,
    *,
    with_wishes: bool = False,
) -> Response[Any]:
    """Return a design, or what ``write`` makes of it, with the headers of every such answer.

    ``with_wishes`` is for those who tell other frames and what wishes cost.
    """
    body, headers = await desk.gate.run(
        after_waiting(_work), spec, desk, caller, write, WRITTEN[media_type], with_wishes
    )
    return Response(body, media_type=media_type, headers={**headers, **VARY})


async def file_from_design(
    spec: DeckSpec,
    desk: Desk,
    caller: Caller,
    write: Callable[[DesignReport], bytes],
    media_type: str,
    named: str,
) -> Response[bytes]:
    """Return a file made of a design whose spec is part of the request, named after what it is and the design's id.

    Raises:
        Rejected: with the faults of the spec, each under its place in the request
    """
    try:
        answer = await answer_from_design(spec, desk, caller, write, media_type)
    except Rejected as refused:
        raise moved(refused, SPEC) from None
    name = f"{named}-{answer.headers['Deck-Design-Id'][:8]}.{ENDINGS[media_type]}"
    answer.headers["Content-Disposition"] = f'inline; filename="{name}"'
    answer.headers["Content-Security-Policy"] = SEALED
    return answer


def _work(
    spec: DeckSpec,
    desk: Desk,
    caller: Caller,
    write: Callable[[DesignReport], bytes],
    written: str,
    with_wishes: bool,
) -> tuple[bytes, dict[str, str]]:
    report = design(spec, context_of(spec, desk, caller), with_wishes=with_wishes)
    with stage(written):
        body = write(report)
    return body, design_headers(report)


def design_headers(report: DesignReport) -> dict[str, str]:
    """Return the headers that tell which design an answer comes from."""
    return {"Deck-Design-Id": report.design_id, "Deck-Verdict": report.verdict.status}
