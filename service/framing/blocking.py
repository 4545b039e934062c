"""Rows of blocking between joists."""

from __future__ import annotations

import math
from collections import Counter

from service.contract.report_frame import Blocking, Joists
from service.framing.joist_lines import bays
from service.framing.layout import Layout

# Common practice, no source: one row in the middle of a span over 8 ft, two at third points over 12 ft.
ONE_ROW_OVER_IN = 96.0
TWO_ROWS_OVER_IN = 144.0
# A border board lies on two joists: 12 in is the closest spacing the decking tables ask for there.
BORDER_EVERY_IN = 12.0


def span_rows(span_in: float) -> int:
    """Return how many rows of blocking a joist span gets between its supports.

    >>> span_rows(96), span_rows(120), span_rows(150)
    (0, 1, 2)
    """
    return (span_in > ONE_ROW_OVER_IN) + (span_in > TWO_ROWS_OVER_IN)


def _beam_rows(layout: Layout) -> int:
    """Joists over a dropped beam are held upright there, unless the rim at their end does it."""
    if layout.placement == "flush":
        return 0
    held_by_rim = (layout.yard_cantilever_in == 0) + (not layout.attached and layout.house_cantilever_in == 0)
    return len(layout.beam_ys_in) - held_by_rim


def _row(level: str, layout: Layout, joists: Joists, rows: int, because: str, number: int) -> list[Blocking]:
    centres = tuple((line.x_ft or 0.0) * 12 for line in joists.lines)
    lengths = Counter(round(bay, 4) for bay in bays(centres))
    return [
        Blocking(
            id=f"{level}.blocking-{number + i}",
            size=layout.joist_size,
            length_in=length,
            count=count * rows,
            because=because,
        )
        for i, (length, count) in enumerate(sorted(lengths.items(), reverse=True))
    ]


def _border(level: str, layout: Layout, joists: Joists, number: int) -> list[Blocking]:
    """Border boards lie along the end joists: blocks between them and the next joist carry the inner edge."""
    centres = tuple((line.x_ft or 0.0) * 12 for line in joists.lines)
    first, *_, last = bays(centres)
    a_side = math.ceil((layout.joist_end_in - layout.joist_start_in) / BORDER_EVERY_IN)
    pieces = Counter({round(first, 4): a_side}) + Counter({round(last, 4): a_side})
    reason = "border boards along the end joists: blocks every 12 in"
    return [
        Blocking(id=f"{level}.blocking-{number + i}", size=layout.joist_size, length_in=length, count=count,
                 because=reason)
        for i, (length, count) in enumerate(sorted(pieces.items(), reverse=True))
    ]  # fmt: skip


def blocking(level: str, layout: Layout, joists: Joists, borders: int = 0) -> tuple[Blocking, ...]:
    """Return the blocking over beams, within spans and under border boards, like pieces together."""
    over_beams = _beam_rows(layout)
    in_spans = sum(span_rows(span) for span in layout.joist_spans_in)
    out: list[Blocking] = []
    if over_beams:
        reason = "joists held upright over the beam (full depth, at least 60 % is required)"
        out += _row(level, layout, joists, over_beams, reason, 1)
    if in_spans:
        reason = "rows within spans over 8 ft (common practice)"
        out += _row(level, layout, joists, in_spans, reason, len(out) + 1)
    if borders:
        out += _border(level, layout, joists, len(out) + 1)
    return tuple(out)
