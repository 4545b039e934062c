"""One way to frame a rectangular level: the choices, and the geometry that follows from them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from service.framing.beam_lines import spans
from service.sizing.lumber import width_in

LEDGER_IN = 1.5
RIM_IN = 1.5
WALL_GAP_IN = 1.0


@dataclass(frozen=True)
class Layout:
    """A frame for a rectangle ``width_in`` along the house and ``projection_in`` out from the house wall line.

    ``beam_ys_in`` are beam centre lines from the wall line, rising. ``lap_at`` are the beams (by index) over
    which joists lap. ``gap_in`` is kept clear of the wall by a free-standing deck.
    """

    width_in: float
    projection_in: float
    attachment: Literal["ledger", "freestanding"]
    joist_size: str
    spacing_in: float
    beam_ys_in: tuple[float, ...]
    beam_size: str
    beam_plies: int
    placement: Literal["dropped", "flush"]
    post_size: str
    post_xs_in: tuple[float, ...]
    lap_at: tuple[int, ...] = ()
    gap_in: float = WALL_GAP_IN

    @cached_property
    def beam_width_in(self) -> float:
        """Width of the built-up beam, in."""
        return width_in(self.beam_size) * self.beam_plies

    @property
    def attached(self) -> bool:
        """Whether the deck hangs on the house."""
        return self.attachment == "ledger"

    @property
    def house_face_in(self) -> float:
        """Outer face of the frame on the house side, from the wall line."""
        return 0.0 if self.attached else self.gap_in

    @property
    def joist_start_in(self) -> float:
        """Where joists begin: the ledger's face, or behind the rim or flush beam."""
        if self.attached:
            return LEDGER_IN
        return self.gap_in + (self.beam_width_in if self.placement == "flush" else RIM_IN)

    @property
    def joist_end_in(self) -> float:
        """Where joists end: behind the rim or flush beam on the yard side."""
        return self.projection_in - (self.beam_width_in if self.placement == "flush" else RIM_IN)

    @cached_property
    def support_ys_in(self) -> tuple[float, ...]:
        """Joist supports from the wall line: the ledger's face, if there is one, and beam centres."""
        return (LEDGER_IN, *self.beam_ys_in) if self.attached else self.beam_ys_in

    @cached_property
    def joist_spans_in(self) -> tuple[float, ...]:
        """Joist spans, ledger face to beam centre and beam centre to beam centre."""
        return spans(self.support_ys_in)

    @property
    def yard_cantilever_in(self) -> float:
        """Last beam's centre to the rim's outer face; 0 where the joists end on the beam."""
        return self._counted(self.projection_in - self.beam_ys_in[-1])

    @property
    def house_cantilever_in(self) -> float:
        """First beam's centre to the house-side rim's outer face; 0 with a ledger or joists ending on it."""
        return 0.0 if self.attached else self._counted(self.beam_ys_in[0] - self.gap_in)

    def _counted(self, past_centre_in: float) -> float:
        """Joists that end over the beam do not cantilever: at most the rim hangs past its face."""
        over_the_face = past_centre_in - self.beam_width_in / 2
        return 0.0 if over_the_face <= RIM_IN + 1e-9 else past_centre_in

    @cached_property
    def beam_spans_in(self) -> tuple[float, ...]:
        """Beam spans, post centre to post centre."""
        return spans(self.post_xs_in)

    @property
    def beam_overhang_in(self) -> float:
        """The longer overhang of the beams past their end posts."""
        return max(self.post_xs_in[0], self.width_in - self.post_xs_in[-1])

    @property
    def interior_beams(self) -> tuple[int, ...]:
        """Beams (by index) with joist spans on both sides."""
        first = 0 if self.attached else 1
        return tuple(range(first, len(self.beam_ys_in) - 1))
