"""Allowable lengths asked again and again by the search, each worked out once."""

from __future__ import annotations

from service.sizing.allowed import (
    TALLEST_POST_IN,
    Allowed,
    allowed_beam_span,
    allowed_cantilever,
    allowed_interior_beam_span,
    allowed_joist_span,
    allowed_post_height,
)
from service.sizing.criteria import Criteria


class Limits:
    """The sizing functions for one set of criteria, remembered by their arguments."""

    def __init__(self, criteria: Criteria) -> None:
        self.criteria = criteria
        self._known: dict[tuple[object, ...], Allowed] = {}

    def joist_span(self, size: str, spacing_in: float, cantilever_in: float) -> Allowed:
        """Longest joist span."""
        key = ("joist", size, spacing_in, cantilever_in)
        if key not in self._known:
            self._known[key] = allowed_joist_span(self.criteria, size, spacing_in, cantilever_in)
        return self._known[key]

    def cantilever(self, size: str, spacing_in: float, back_span_in: float) -> Allowed:
        """Longest joist cantilever."""
        key = ("cantilever", size, spacing_in, back_span_in)
        if key not in self._known:
            self._known[key] = allowed_cantilever(self.criteria, size, spacing_in, back_span_in)
        return self._known[key]

    def beam_span(self, size: str, plies: int, joist_span_in: float, cantilever_in: float) -> Allowed:
        """Longest span of a beam with joists on one side."""
        key = ("beam", size, plies, joist_span_in, cantilever_in)
        if key not in self._known:
            self._known[key] = allowed_beam_span(
                self.criteria, size, plies, joist_span_in / 12, cantilever_in / 12
            )
        return self._known[key]

    def interior_beam_span(
        self, size: str, plies: int, near_in: float, far_in: float, broken: bool, reaction_psf_ft: float
    ) -> Allowed:
        """Longest span of a beam with joists on both sides."""
        key = ("interior", size, plies, near_in, far_in, broken, reaction_psf_ft)
        if key not in self._known:
            self._known[key] = allowed_interior_beam_span(
                self.criteria, size, plies, near_in / 12, far_in / 12, broken, reaction_psf_ft
            )
        return self._known[key]

    def post_height(self, size: str, plies: int, load_lb: float, height_in: float) -> Allowed:
        """Tallest post; ``height_in`` tells whether the tables can cover it."""
        key = ("post", size, plies, round(load_lb, 3), height_in > TALLEST_POST_IN)
        if key not in self._known:
            area = load_lb / self.criteria.design_psf
            self._known[key] = allowed_post_height(self.criteria, size, plies, area, height_in)
        return self._known[key]
