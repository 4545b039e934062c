"""The deck a lone member belongs to, as far as a member check knows it, so that one set of rules serves both."""

from __future__ import annotations

from service.contract.choices import Species
from service.contract.member_checks import FootingCheckSpec, GuardPostCheckSpec, MemberCheckSpec
from service.contract.spec import DeckSpec, FramingSpec, SiteSpec


def deck_of(spec: MemberCheckSpec) -> DeckSpec:
    """Return a deck spec without levels that has the rules, loads, soil and lumber of a member check.

    >>> from service.contract.member_checks import LedgerCheckSpec
    >>> ledger = LedgerCheckSpec(
    ...     rulebook="irc-2021", fastener="bolt", sheathing_thickness_in=0.5, joist_span_ft=12.0
    ... )
    >>> deck_of(ledger).rulebook
    'irc-2021'
    """
    soil = spec.soil_bearing_psf if isinstance(spec, FootingCheckSpec) else None
    site = SiteSpec(
        live_load_psf=spec.live_load_psf,
        ground_snow_load_psf=spec.ground_snow_load_psf,
        soil_bearing_psf=soil,
    )
    return DeckSpec(
        jurisdiction=spec.jurisdiction,
        rulebook=spec.rulebook,
        as_of=spec.as_of,
        site=site,
        levels=(),
        framing=FramingSpec(species=_species(spec), grade=spec.grade),
    )


def _species(spec: MemberCheckSpec) -> Species:
    """The species given; the weakest for a guard post without one. Nothing of a footing or ledger is read by it."""
    if spec.species is not None:
        return spec.species
    return "northern_species" if isinstance(spec, GuardPostCheckSpec) else "southern_pine"
