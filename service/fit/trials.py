"""What the tables would be with other figures in place of the fitted ones: how sharply each is fixed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping

import msgspec

from service.fit.beams import calculated_beam, printed_beam_rows
from service.fit.rows import LIVE_PSF, Record, load_kind, number, number_or_none, records, text
from service.rules.rulebook import Rulebook
from service.sizing.calculated_beams import (
    CREEP_SHARE,
    DEAD_PSF,
    PLY_CR,
    SHEAR_2021,
    beam_span_2021,
    rounds_down_2021,
)
from service.sizing.calculated_posts import (
    TABLE_EMIN_PSI,
    TABLE_LOAD_SHARE,
    TABLE_SPECIES,
    TALLEST_IN,
    table_fc_psi,
)
from service.sizing.calculated_result import Allowable, nearest
from service.timber.columns import column_height_in
from service.timber.refusal import NoRule
from service.timber.sections import Section, section, size_class
from service.timber.values import TimberData

WET_E = 0.9
SHARES = (1.25, 1.27, 1.279, TABLE_LOAD_SHARE, 1.281, 1.29)
STIFFNESSES_PSI = (470_000.0, 500_000.0, 509_000.0, TABLE_EMIN_PSI / WET_E, 511_000.0, 520_000.0)
TWO_PLY = (1.0, 1.05, 1.09, PLY_CR[2], 1.11, 1.15)
SHEARS = (1.0, 1.25, 1.37, SHEAR_2021, 1.38, 1.5)
DEFLECTION_PSF = (40.0, 40.0 / WET_E, 40.0 + CREEP_SHARE * DEAD_PSF, 46.0, 50.0)


class Trial(msgspec.Struct, frozen=True):
    """A figure tried: over how many cells, how many exact, how many within an inch."""

    figure: str
    cells: int
    exact: int
    within: int


class Case(msgspec.Struct, frozen=True):
    """A printed beam span, the bounds of its calculation (in), and how its row is rounded."""

    printed: float
    bounds: Mapping[str, float]
    depth_in: float
    plies: int
    down: bool


Change = Callable[[Case], Mapping[str, float]]


def _tally(figure: str, pairs: Iterable[tuple[float | None, float | None]]) -> Trial:
    """Count printed and calculated; a null is "not permitted"."""
    off = [
        (0.0 if printed == found else math.inf) if printed is None or found is None else abs(printed - found)
        for printed, found in pairs
    ]
    return Trial(figure, len(off), off.count(0.0), sum(one <= 1 for one in off))


def _changed(figure: str, cases: Iterable[Case], change: Change) -> Trial:
    def value(case: Case) -> float:
        least = min({**case.bounds, **change(case)}.values())
        return float(math.floor(least)) if case.down else nearest(least)

    return _tally(figure, ((case.printed, value(case)) for case in cases))


def _case(row: Record, found: Allowable, down: bool) -> Case:
    plies, size = int(number(row, "plies")), text(row, "nominal_size")
    piece = section(size, plies)
    if isinstance(piece, NoRule):
        raise TypeError(piece.why)
    return Case(number(row, "max_beam_span_in"), found.bounds, piece.depth_in, plies, down)


def beam_cases(book: Rulebook, timber: TimberData) -> list[Case]:
    """Return the beam cells of an edition that are not suspect, ready to be tried with other figures."""
    by_factor = book.in_force_settings.beam_lookup_rule == "factored_span"
    cases = []
    for row in printed_beam_rows(book):
        found = calculated_beam(book, timber, row)
        if row["flag"] is None and isinstance(found, Allowable):
            plies, size = int(number(row, "plies")), text(row, "nominal_size")
            down = by_factor and rounds_down_2021(text(row, "species_group"), load_kind(row), plies, size)
            cases.append(_case(row, found, down))
    return cases


def two_ply_trials(cases: Iterable[Case]) -> Iterator[Trial]:
    """Yield other repetitive member factors for two plies; bending spans go with its square root."""
    two = [case for case in cases if case.plies == 2]
    return (_changed(f"{cr:.2f}", two, _bent_by(cr)) for cr in TWO_PLY)


def _bent_by(cr: float) -> Change:
    return lambda case: {"bending": case.bounds["bending"] * math.sqrt(cr / PLY_CR[2])}


def shear_trials(cases: list[Case]) -> Iterator[Trial]:
    """Yield other factors on the shear at the depth from the support, and the shear at the support itself."""
    for factor in SHEARS:
        yield _changed(f"{factor:g} at the depth", cases, _shorn_by(factor, 2.0))
    yield _changed("1 at the support", cases, _shorn_by(1.0, 0.0))


def _shorn_by(factor: float, depths: float) -> Change:
    """Spans by shear: the fitted one is two depths longer than the load alone allows."""

    def change(case: Case) -> Mapping[str, float]:
        loaded_in = (case.bounds["shear"] - 2 * case.depth_in) * SHEAR_2021 / factor
        return {"shear": loaded_in + depths * case.depth_in}

    return change


def deflection_trials(cases: list[Case]) -> Iterator[Trial]:
    """Yield other loads under which the 2015 and 2018 beams are held to L/360."""
    return (_changed(f"{load:.1f} psf", cases, _bowed_by(load)) for load in DEFLECTION_PSF)


def _bowed_by(load_psf: float) -> Change:
    fitted = LIVE_PSF + CREEP_SHARE * DEAD_PSF
    return lambda case: {"deflection": case.bounds["deflection"] * (fitted / load_psf) ** (1 / 3)}


class PostCase(msgspec.Struct, frozen=True):
    """A printed post height, and what its calculation starts from."""

    printed: float | None
    piece: Section
    varying_lb: float
    fc_psi: float
    emin_psi: float


def post_cases(book: Rulebook, timber: TimberData) -> list[PostCase]:
    """Return the post heights of an edition, ready to be tried with other figures."""
    return [_post_case(row, timber) for row in records(book, "post_heights") if row["post_size"] != "8x8"]


def _post_case(row: Record, timber: TimberData) -> PostCase:
    species, piece = TABLE_SPECIES[text(row, "species_group")], section(text(row, "post_size"))
    if isinstance(piece, NoRule):
        raise TypeError(piece.why)
    fc_psi = table_fc_psi(timber, species, piece, load_kind(row))
    own = timber.values.find(species, "no_2", size_class(species, piece))
    if isinstance(own, NoRule) or isinstance(fc_psi, NoRule):
        raise TypeError(f"no design values for {species}")
    varying_lb = number(row, "load_psf") * number(row, "tributary_area_sqft")
    wet = 1.0 if piece.is_timber else WET_E
    return PostCase(number_or_none(row, "max_height_in"), piece, varying_lb, fc_psi, wet * own.emin_psi)


def _height(case: PostCase, share: float, emin_psi: float) -> float | None:
    stress = share * case.varying_lb / case.piece.area_sqin
    height = column_height_in(stress, case.fc_psi, emin_psi, case.piece.width_in)
    return nearest(min(TALLEST_IN, height)) if height else None


def post_load_trials(cases: list[PostCase]) -> Iterator[Trial]:
    """Yield other shares of the varying load as the whole load on a post."""
    for share in SHARES:
        yield _tally(f"{share:g}", ((case.printed, _height(case, share, TABLE_EMIN_PSI)) for case in cases))


def post_stiffness_trials(cases: list[PostCase]) -> Iterator[Trial]:
    """Yield other values of the one Emin of all posts, and each species' own."""
    for emin in STIFFNESSES_PSI:
        found = ((case.printed, _height(case, TABLE_LOAD_SHARE, WET_E * emin)) for case in cases)
        yield _tally(f"{emin:,.0f} psi", found)
    own = ((case.printed, _height(case, TABLE_LOAD_SHARE, case.emin_psi)) for case in cases)
    yield _tally("each species' own", own)


def overhang_trials(book: Rulebook, timber: TimberData) -> Iterator[Trial]:
    """Yield the 2024 beam spans with the joists' true reaction in place of the tributary width."""
    rows = [row for row in records(book, "beam_spans") if row["flag"] is None]
    kept = ((row, calculated_beam(book, timber, row)) for row in rows)
    fitted = ((number(row, "max_beam_span_in"), _printed(found)) for row, found in kept)
    yield _tally("tributary width, up to the next foot, read along the 2021 line", fitted)
    statics = ((number(row, "max_beam_span_in"), _printed(_by_statics(row, timber))) for row in rows)
    yield _tally("true reaction of the joists, the 2021 formula itself", statics)


def _printed(found: Allowable | NoRule) -> float | None:
    return None if isinstance(found, NoRule) else found.printed


def _by_statics(row: Record, timber: TimberData) -> Allowable | NoRule:
    joist_ft, over_ft = number(row, "joist_span_ft"), number(row, "joist_cantilever_ft")
    # The 2021 columns are at a full overhang, (1 + 1/4)^2 of the reaction without one.
    effective_ft = joist_ft * ((1 + over_ft / joist_ft) / 1.25) ** 2
    return beam_span_2021(
        timber, text(row, "species_group"), text(row, "nominal_size"), int(number(row, "plies")), effective_ft,
        number(row, "load_psf"), load_kind(row),
    )  # fmt: skip
