"""What stairs put on the beam they hang on, as loads of its calculation."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from service.framing.edge_loads import Taken
from service.framing.stair_lines import stair_psf
from service.mechanics.beam import Beam, Load, Uniform, clipped
from service.sizing.criteria import Criteria
from service.units.working import Step, step


@dataclass(frozen=True)
class StairsOnBeam:
    """What stairs put on a beam: always there, and there or not, plf on their own stretch, with how that was found."""

    dead: tuple[Load, ...] = ()
    varying: tuple[Load, ...] = ()
    steps: tuple[Step, ...] = ()

    def on(self, start_ft: float, piece: Beam) -> StairsOnBeam:
        """Return what of them stands on a piece that begins so far along the beam, ft; places are from its start."""
        return StairsOnBeam(
            tuple(_part(self.dead, start_ft, piece)), tuple(_part(self.varying, start_ft, piece)), self.steps
        )


def _part(loads: Iterable[Load], start_ft: float, piece: Beam) -> Iterator[Load]:
    end_ft = start_ft + piece.length_ft
    for load in loads:
        cut = clipped(load, start_ft, end_ft)
        if isinstance(cut, Uniform):
            at = cut.start_ft - start_ft, min(cut.end_ft - start_ft, piece.length_ft)
            yield Uniform(*at, cut.load_plf)


def stairs_on_beam(stairs: Sequence[Taken], criteria: Criteria) -> StairsOnBeam:
    """Return the loads of stairs on one beam: dead as on the deck, and the rest of what their area is counted with."""
    dead = criteria.dead_psf / stair_psf(criteria)[0]
    return StairsOnBeam(
        tuple(_share(one, dead) for one in stairs),
        tuple(_share(one, 1 - dead) for one in stairs),
        tuple(_told(one) for one in stairs),
    )


def _share(one: Taken, share: float) -> Load:
    return Uniform(one.uniform.start_ft, one.uniform.end_ft, one.load_plf * share)


def _told(one: Taken) -> Step:
    on = one.uniform
    where = f"{one.load.member} on this beam, from {on.start_ft:.4g} to {on.end_ft:.4g} ft of its length"
    return step("P", one.load.load_lb, "lb", f"{where}: dead and live")
