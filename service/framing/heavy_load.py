"""What a heavy object puts on the deck under it, psf of its footprint."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.spec import HeavyObjectSpec
from service.units.working import Step, step

PERSON_LB = 200.0  # convention of this service
LEAST_PSF = 100.0  # convention of this service; 90 to 130 psf is usual under a tub (common practice)
LIGHT_PSF = 10.0  # convention of this service: a quarter of the 40 psf the deck carries anyway
PERMANENT = 0.9  # NDS 2.3.2, CD of permanent load against 1.0 of live load (from memory)


@dataclass(frozen=True)
class Pressure:
    """Loads on a footprint, psf: the object filled, its people, and what the deck itself is designed for.

    ``variable_psf`` is the greater of live and snow. People and it are never added: who is in the tub does not
    also stand where the tub is.
    """

    object_psf: float
    people_psf: float
    dead_psf: float
    variable_psf: float

    @property
    def light(self) -> bool:
        """Whether the object lies well within the live load of the deck."""
        return self.object_psf + self.people_psf < LIGHT_PSF

    @property
    def total_psf(self) -> float:
        """What frame and footings are designed for, with the duration of live load."""
        usual = self.object_psf + self.dead_psf + max(self.people_psf, self.variable_psf)
        return max(LEAST_PSF, usual, (self.object_psf + self.dead_psf) / PERMANENT)

    @property
    def extra_psf(self) -> float:
        """What comes on top of the deck's own dead load and live or snow load."""
        return self.total_psf - self.dead_psf - self.variable_psf

    @property
    def steps(self) -> tuple[Step, ...]:
        """The working."""
        return (
            step("w_o", self.object_psf, "psf", "filled weight on its footprint"),
            step("w_p", self.people_psf, "psf", "people at 200 lb each (convention of this service)"),
            step("w_d", self.dead_psf, "psf", "dead load of the deck"),
            step("w_v", self.variable_psf, "psf", "greater of live and snow load"),
            step("CD", PERMANENT, "ratio", "NDS 2.3.2, permanent load (memory): divides w_o + w_d alone"),
            step(
                "q",
                self.total_psf,
                "psf",
                "greatest of w_o + w_d + max(w_p, w_v), (w_o + w_d) / CD, and 100 psf (convention of this service)",
            ),
        )


def pressure_of(thing: HeavyObjectSpec, dead_psf: float, variable_psf: float) -> Pressure:
    """Return what an object puts on the deck, over a deck with these loads, psf.

    >>> tub = HeavyObjectSpec(
    ...     kind="hot_tub", x_ft=8, y_ft=3, width_ft=7, length_ft=7, filled_weight_lb=4600, people=6)
    >>> round(pressure_of(tub, 10.0, 40.0).total_psf, 1)
    143.9
    """
    area_sqft = thing.width_ft * thing.length_ft
    return Pressure(
        thing.filled_weight_lb / area_sqft, thing.people * PERSON_LB / area_sqft, dead_psf, variable_psf
    )
