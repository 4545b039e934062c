"""Where beam lines may run across a rectangle."""

from __future__ import annotations

from collections.abc import Iterator

from service.choice.ask import Ask
from service.framing.layout import LEDGER_IN, RIM_IN

CANTILEVERS_IN = (12.0, 18.0, 24.0, 30.0, 36.0, 42.0, 48.0)
HOUSE_OFFSETS_IN = (24.0, 18.0, 30.0, 36.0, 12.0)
CLEAR_OF_HOUSE_IN = 18.0
SHORTEST_SPAN_IN = 18.0
MOST_BEAMS = 5


def end_bearing_in(beam_width_in: float) -> float:
    """Return the distance from a beam's centre to the rim's outer face when joists end on the beam.

    They need 1.5 in of bearing: on a single ply the rim hangs past its face.

    >>> end_bearing_in(3.0), end_bearing_in(1.5)
    (1.5, 2.25)
    """
    return beam_width_in / 2 if beam_width_in >= 2 * RIM_IN else beam_width_in / 2 + RIM_IN


def _offsets(beam_width_in: float, placement: str) -> tuple[float, ...]:
    if placement == "flush":
        return (beam_width_in / 2,)
    return (end_bearing_in(beam_width_in), *CANTILEVERS_IN)


def _house_offsets(ask: Ask, offsets: tuple[float, ...], placement: str) -> tuple[float, ...]:
    """The first row keeps off the house: about 24 in is usual (common practice), under 18 in for an engineer.

    A flush beam would stand against the wall, its piers in the house footing: none is offered there.
    """
    if ask.gap_in == 0:
        return offsets
    return () if placement == "flush" else HOUSE_OFFSETS_IN


def _even(start_in: float, end_in: float, bays: int) -> tuple[float, ...]:
    inner = (float(round(start_in + (end_in - start_in) * i / bays)) for i in range(1, bays))
    return (*inner, end_in)


def _ledger_rows(ask: Ask, offset_in: float, count: int) -> tuple[float, ...]:
    return _even(LEDGER_IN, ask.projection_in - offset_in, count)


def beam_rows(
    ask: Ask, attached: bool, placement: str, beam_width_in: float, count: int
) -> Iterator[tuple[float, ...]]:
    """Yield rows of beam centre lines from the wall line, in, for ``count`` beams.

    Beams between the first and the last stand evenly, on whole inches.
    """
    offsets = _offsets(beam_width_in, placement)
    for offset in offsets:
        last = ask.projection_in - offset
        if attached:
            rows = [_ledger_rows(ask, offset, count)] if last - LEDGER_IN >= SHORTEST_SPAN_IN else []
        else:
            firsts = [ask.gap_in + near for near in _house_offsets(ask, offsets, placement)]
            rows = [(f, *_even(f, last, count - 1)) for f in firsts if last - f >= SHORTEST_SPAN_IN]
        yield from rows
