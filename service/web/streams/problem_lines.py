"""A line that could not be used, as a line of the answer."""

from __future__ import annotations

from typing import Any

from service.contract.ids import REFERENCE
from service.contract.parse import parse
from service.contract.problem import Rejected
from service.contract.stream import StreamProblem
from service.contract.strict import DEFAULT_LIMITS
from service.web.problem_answer import problem_of
from service.web.streams.lines import MOST_LINE_BYTES
from service.web.streams.messages import Call, Line


def problem_line(line: Line, call: Call, refused: Rejected) -> StreamProblem:
    """Return the answer to a line that is refused, with its reference where that can be read."""
    return StreamProblem(
        line=line.number,
        reference=_reference(line.text),
        problem=problem_of(refused, call.instance, call.request_id),
    )


def too_long() -> Rejected:
    """Return why a line that was passed over is refused."""
    return Rejected("too_large", f"the line is longer than the {MOST_LINE_BYTES} bytes a line may have")


def _reference(text: bytes | None) -> str | None:
    try:
        value: Any = parse(text or b"", DEFAULT_LIMITS.depth)
    except Rejected:
        return None
    given = value.get("reference") if isinstance(value, dict) else None
    return given if isinstance(given, str) and REFERENCE.fullmatch(given) else None
