"""What freezing soil lifts a footing with, and what holds it down. Told, never judged: no code asks for a check."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from service.contract.report import Caution
from service.foundations.method import Sized
from service.foundations.site import Site
from service.sizing.footings import CONCRETE_PCF, SOIL_PCF
from service.units.finding import SLACK


@dataclass(frozen=True)
class Held:
    """A footing in freezing soil, lb: ``dead`` is 0.6 of the deck's dead load, ``own`` the footing's own weight.

    ``below`` is what the ground under frost holds: soil over a base, or the helices of a pile.
    """

    width_in: float
    grip_lb: float
    dead_lb: float
    own_lb: float = 0.0
    below_lb: float = 0.0

    @property
    def hold_lb(self) -> float:
        """All that holds it down."""
        return self.dead_lb + self.own_lb + self.below_lb


def grip_lb(perimeter_in: float, frozen_in: float, grip_psf: float) -> float:
    """Return the force freezing soil may grip a shaft with, lb.

    Source: Canadian Foundation Engineering Manual, 4th edition: stress times the frozen surface.

    Args:
        perimeter_in: round the shaft, in.
        frozen_in: length of it in freezing soil, in.
        grip_psf: adfreeze stress, psf.

    >>> round(grip_lb(math.pi * 12, 32, 1357.5), -2), round(grip_lb(math.pi * 2.875, 32, 2088.5), -2)
    (11400.0, 4200.0)
    """
    return grip_psf * perimeter_in * frozen_in / 144.0


def _held(one: Sized, site: Site) -> Held:
    """A poured pier: R = 0.6 D + concrete + soil over the base below frost, by the weights its own is counted with."""
    made = one.footing.concrete
    if made is None or made.shaft_diameter_in is None:
        return Held(0.0, 0.0, site.lasting_lb(one.footing.load_lb))
    shaft_in, base_in = made.shaft_diameter_in, made.base_size_in or 0.0
    frozen_in = min(site.frost_in, made.depth_below_grade_in)
    top_of_base_in = made.depth_below_grade_in - (made.thickness_in or 0.0) - (made.bell_height_in or 0.0)
    wide = base_in**2 if made.base_shape == "square" else math.pi / 4.0 * base_in**2
    ledge_sqft = max(0.0, wide - math.pi / 4.0 * shaft_in**2) / 144.0
    return Held(
        width_in=shaft_in,
        grip_lb=grip_lb(math.pi * shaft_in, frozen_in, site.value("frost_grip")),
        dead_lb=site.lasting_lb(one.footing.load_lb),
        own_lb=CONCRETE_PCF * made.volume_cuft,
        below_lb=SOIL_PCF * ledge_sqft * max(0.0, top_of_base_in - site.frost_in) / 12.0,
    )


def grip_caution(held: Iterable[Held], said: Callable[[Held], str], action: str) -> tuple[Caution, ...]:
    """Return one caution for the footing that is lifted by most; empty where no soil freezes.

    Source: grip by ``grip_lb``; a caution only, as the IRC has no check of it.

    Args:
        held: the footings, lb.
        said: what to say of the one that is lifted by most.
        action: what to do about it.

    >>> grip_caution([Held(12.0, 0.0, 300.0)], lambda one: "gripped", "drain the ground")
    ()
    """
    gripped = [one for one in held if one.grip_lb > SLACK]
    if not gripped:
        return ()
    worst = max(gripped, key=lambda one: one.grip_lb - one.hold_lb)
    return (Caution(code="frost_heave_grip", text=said(worst), action=action),)


def _poured(one: Held) -> str:
    ground = (
        f", ground over its base below frost {hundreds(one.below_lb)} lb"
        if one.below_lb
        else "; no base below frost helps"
    )
    return (
        f"frozen soil can grip a rough {one.width_in:g} in pier with some {hundreds(one.grip_lb)} lb; against it stand "
        f"0.6 of the deck's dead load with {hundreds(one.dead_lb)} lb, its own weight with "
        f"{hundreds(one.own_lb)} lb{ground}"
    )


def hundreds(force_lb: float) -> str:
    """Return a force in words, to the next hundred; lb.

    Source: convention of this service: these forces are known no better.

    Args:
        force_lb: force, lb.

    >>> hundreds(11372.0)
    '11,400'
    """
    return f"{round(force_lb, -2):,.0f}"


SMOOTH = "pour in a smooth tube for the whole frost depth, and drain the ground round it"


def poured_grip(sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:
    """Return the caution of poured piers in freezing soil.

    Source: 65 kPa on concrete, Canadian Foundation Engineering Manual, 4th edition, quoting Penner 1974.

    Args:
        sized: the footings, of concrete; forces in lb.
        site: frost depth, in.

    >>> poured_grip((), Site(criteria, facts))
    ()
    """
    return grip_caution((_held(one, site) for one in sized), _poured, SMOOTH)
