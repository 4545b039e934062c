"""Everything about place, loads, lumber and rules that a member is sized against, resolved once."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import Rulebook
from service.timber.values import TimberData
from service.units.citation import Citation

COHESIONLESS = ("sand", "sandy_gravel")
ROCK = ("crystalline_bedrock", "sedimentary_rock")


@dataclass(frozen=True)
class Ground:
    """The ground of the site, every value resolved (spec, jurisdiction or rulebook)."""

    frost_depth_in: float
    soil_class: str
    soil_bearing_psf: float
    water_table_depth_in: float | None
    rock_depth_in: float | None
    rig_access_width_in: float | None
    foundation_depth_in: float | None
    excavation_slope: str
    house_present: bool
    expansive_soil: bool | None = None
    backfill_age_years: float | None = None

    @property
    def is_rock(self) -> bool:
        """Whether its class is a rock."""
        return self.soil_class in ROCK

    @property
    def is_cohesionless(self) -> bool:
        """Whether its class is sand or gravel, which stands by friction alone."""
        return self.soil_class in COHESIONLESS


@dataclass(frozen=True)
class Criteria:
    """What one design is judged by.

    ``table_load_psf`` is the load column of the deck tables that covers the site (40, 50, 60 or 70), or null
    where none does. ``species_group`` is the tables' group of the framing species. ``coating`` is the fastener
    class the place asks for. ``timber`` holds the design values calculations need.
    """

    rulebook: Rulebook
    guide: Rulebook
    jurisdiction: Jurisdiction | None
    live_psf: float
    dead_psf: float
    snow_psf: float
    table_load_psf: int | None
    species: str
    species_group: str
    grade: str
    coating: str
    ground: Ground
    timber: TimberData | None = None

    def law_of(self, name: str, used: object = None) -> Citation | None:
        """Return the amendment behind a value of the place, where that is the value ``used``; null where none is."""
        place = self.jurisdiction
        if place is None or (used is not None and used != getattr(place.site, name)):
            return None
        return place.law_of(name)

    @property
    def variable_psf(self) -> float:
        """The greater of live and ground snow (never added), psf."""
        return max(self.live_psf, self.snow_psf)

    @property
    def design_psf(self) -> float:
        """Dead plus the greater of live and snow, psf."""
        return self.dead_psf + self.variable_psf
