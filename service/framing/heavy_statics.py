"""What the joists under a heavy object put on the beams under them, by statics of the whole joist line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.framing.heavy import Bed, Footprint
from service.framing.heavy_load import Pressure
from service.mechanics.beam import Beam, Uniform
from service.mechanics.cases import solve_cases

UPLIFT_DEAD = 0.6  # ASCE 7 2.4.1 (from memory)


@dataclass(frozen=True)
class Piece:
    """An unbroken piece of a joist line: its supports from the wall line, in, and the part under the object, ft."""

    beam: Beam
    supports_in: tuple[float, ...]
    under_ft: tuple[float, float] | None

    def added(self, load_psf: float, width_ft: float = 1.0) -> tuple[Uniform, ...]:
        """The object's load on a strip of a width."""
        return () if self.under_ft is None else (Uniform(*self.under_ft, load_psf * width_ft),)


@dataclass(frozen=True)
class Reaction:
    """What one foot of width puts on a support, plf: all loaded, worst pattern, and least with 0.6 dead load."""

    full_plf: float
    most_plf: float
    least_plf: float


def pieces(bed: Bed, rows_in: Sequence[float], covers: Footprint) -> Iterator[Piece]:
    """Yield a joist line with beams of its own under it, broken where joists lap."""
    line = bed.line
    supports = sorted((*line.supports_in, *rows_in))
    begin = line.supports_in[0] if line.low.ledger else line.low.line_in
    end = line.supports_in[-1] if line.high.ledger else line.high.line_in
    cuts = [begin, *(line.supports_in[i] for i in line.lap_at), end]
    for a, b in pairwise(cuts):
        inside = tuple(y for y in supports if a - 1e-9 <= y <= b + 1e-9)
        low, high = max(a, covers.near_in), min(b, covers.far_in)
        under = ((low - a) / 12, (high - a) / 12) if high > low else None
        yield Piece(Beam((b - a) / 12, tuple((y - a) / 12 for y in inside)), inside, under)


def _of_piece(piece: Piece, load: Pressure) -> Iterator[tuple[float, Reaction]]:
    extra, length = piece.added(load.extra_psf), piece.beam.length_ft
    dead = (Uniform(0.0, length, load.dead_psf), *extra)
    light = (Uniform(0.0, length, UPLIFT_DEAD * load.dead_psf), *extra)
    worst = solve_cases(piece.beam, dead, load.variable_psf).reactions_lb
    least = solve_cases(piece.beam, light, load.variable_psf).reactions_lb
    figures = (worst[0], worst.max(axis=0), least.min(axis=0))
    for y_in, *three in zip(piece.supports_in, *(one.tolist() for one in figures), strict=True):
        yield y_in, Reaction(*three)


def reactions(bed: Bed, rows_in: Sequence[float], covers: Footprint, load: Pressure) -> dict[float, Reaction]:
    """Return the reaction of each support of a joist line under an object, by where it stands along the joists.

    The deck's own load stands on the whole floor, the object's on its footprint.
    """
    found: dict[float, Reaction] = {}
    for piece in pieces(bed, rows_in, covers):
        for y_in, one in _of_piece(piece, load):
            held = found.get(y_in, Reaction(0.0, 0.0, 0.0))
            found[y_in] = Reaction(
                held.full_plf + one.full_plf, held.most_plf + one.most_plf, held.least_plf + one.least_plf
            )
    for end, ledger in ((bed.line.low, bed.line.supports_in[0]), (bed.line.high, bed.line.supports_in[-1])):
        if end.ledger:
            near, far = sorted((end.line_in, ledger))
            # What lies on the ledger's own top, behind the joists.
            object_in = max(0.0, min(far, covers.far_in) - max(near, covers.near_in))
            behind = ((load.dead_psf + load.variable_psf) * (far - near) + load.extra_psf * object_in) / 12
            held = found[ledger]
            found[ledger] = Reaction(held.full_plf + behind, held.most_plf + behind, held.least_plf)
    return found
