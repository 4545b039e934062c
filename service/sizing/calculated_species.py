"""The species behind a name of the deck tables, and their adjusted values for a wet deck."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from service.timber.adjust import Adjusted, Service, adjusted
from service.timber.refusal import NoRule
from service.timber.sections import Section
from service.timber.values import TimberData

FIRS: Final = ("douglas_fir_larch", "hem_fir", "spruce_pine_fir")
# Ponderosa and red pine are entered as Northern Species (footnote of the tables).
CEDARS: Final = ("western_cedar", "redwood_open_grain", "northern_species")
MEMBERS: Final[dict[str, tuple[str, ...]]] = {
    "southern_pine": ("southern_pine",),
    "douglas_fir_larch_hem_fir_spruce_pine_fir": FIRS,
    "redwood_western_cedars_ponderosa_red_pine": CEDARS,
    "df_hf_spf_and_redwood_cedar_ponderosa_red_pine": FIRS + CEDARS,
    "douglas_fir_larch": ("douglas_fir_larch",),
    "hem_fir": ("hem_fir",),
    "spruce_pine_fir": ("spruce_pine_fir",),
    "redwood": ("redwood", "redwood_open_grain"),
    "western_cedar": ("western_cedar",),
    "ponderosa_pine": ("northern_species",),
    "red_pine": ("northern_species",),
    "northern_species": ("northern_species",),
}
DURATIONS: Final = {"live": "ten_years", "snow": "two_months"}


def members_of(name: str) -> tuple[str, ...] | NoRule:
    """Return the species a species or group name stands for; no unit.

    Source: IRC R507.6 footnotes for the groups; a name without a stated grain takes both redwoods.

    >>> members_of("ponderosa_pine")
    ('northern_species',)
    """
    return MEMBERS.get(name) or NoRule(f"no design values for species {name}")


def duration_of(load_kind: str) -> str | NoRule:
    """Return the load duration key of the varying load; no unit.

    Source: NDS Table 2.3.2: occupancy live ten years, snow two months.

    >>> duration_of("snow")
    'two_months'
    """
    return DURATIONS.get(load_kind) or NoRule(f"load kind must be live or snow, not {load_kind!r}")


@lru_cache(maxsize=4096)
def on_deck(
    data: TimberData, species: str, grade: str, piece: Section, duration: str, cr: float, cr_source: str
) -> Adjusted | NoRule:
    """Return the adjusted values of one species outdoors, psi.

    Source: NDS 4.3; wet service, incised where the species is (footnote of the deck tables).

    Args:
        data: values and factors.
        species: one species, not a group.
        grade: grade key.
        piece: the section, in.
        duration: key of the CD rows.
        cr: repetitive member factor, a ratio.
        cr_source: where that is from.

    Returns:
        Adjusted values, psi, or a refusal.

    >>> from service.timber.values import DesignValues, Factors
    >>> from service.timber.sections import section
    >>> empty = TimberData(DesignValues({}), Factors({}))
    >>> on_deck(empty, "hem_fir", "no_2", section("2x8"), "ten_years", 1.0, "").why
    'no design value for hem_fir no_2 2-4_thick'
    """
    service = Service(duration=duration, incised=species in FIRS, cr=cr, cr_source=cr_source)
    return adjusted(data, species, grade, piece, service)


def all_on_deck(
    data: TimberData,
    name: str,
    grade: str,
    piece: Section | NoRule,
    load_kind: str,
    cr: float,
    cr_source: str,
) -> list[Adjusted] | NoRule:
    """Return the adjusted values of every species a name stands for, psi.

    Source: as `on_deck`. Arguments as `on_deck`, with a species or group name, and ``live`` or ``snow``.

    Returns:
        One set of values a species, psi, or the first refusal.

    >>> from service.timber.values import DesignValues, Factors
    >>> from service.timber.sections import section
    >>> empty = TimberData(DesignValues({}), Factors({}))
    >>> all_on_deck(empty, "teak", "no_2", section("2x8"), "live", 1.0, "").why
    'no design values for species teak'
    """
    species, duration = members_of(name), duration_of(load_kind)
    if isinstance(species, NoRule):
        return species
    if isinstance(duration, NoRule):
        return duration
    if isinstance(piece, NoRule):
        return piece
    found = []
    for one in species:
        values = on_deck(data, one, grade, piece, duration, cr, cr_source)
        if isinstance(values, NoRule):
            return values
        found.append(values)
    return found
