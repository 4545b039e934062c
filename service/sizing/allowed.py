"""The longest span or tallest post a member may have: by table where one covers it, else by calculation."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from service.sizing.beams import beam_span_limit, interior_beam_table_limit
from service.sizing.calculated_joists import joist_cantilever_2021, joist_span
from service.sizing.calculated_posts import post_height
from service.sizing.calculated_result import Allowable
from service.sizing.criteria import Criteria
from service.sizing.joists import joist_cantilever_limit, joist_span_limit
from service.sizing.limit import Limit
from service.sizing.line_load_beam import line_load_beam_span
from service.sizing.posts import post_height_limit
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.finding import Basis
from service.units.working import Step

TABLE_GRADE = "no_2"
TALLEST_POST_IN = 168.0  # every edition's post table ends at 14 ft


@dataclass(frozen=True, slots=True)
class Allowed:
    """An allowable length, and whether a table or a calculation gave it.

    ``value_in`` is null where the table says no, or where neither table nor calculation covers the case;
    ``why`` then says which rule is missing. ``beyond`` is what a grade better than the table's No. 2 allows by
    calculation, where the table alone is not enough.
    """

    value_in: float | None
    basis: Basis
    limit: Limit | None = None
    calculated: Allowable | None = None
    why: str = ""
    beyond: Allowed | None = None

    def for_demand(self, demand_in: float) -> Allowed:
        """Return what applies to a member of this length: the table, or beyond it the better grade's calculation.

        Source: IRC R507.2.1, lumber of No. 2 or better: the tables are for No. 2.

        Args:
            demand_in: span, cantilever or height of the member, in.
        """
        past_table = self.value_in is None or demand_in > self.value_in * (1 + 1e-9)
        return self.beyond if past_table and self.beyond is not None else self

    @property
    def citation(self) -> Citation:
        """The cell or the method that governs."""
        if self.calculated is not None:
            return Citation(
                document="NDS, allowable stress design",
                section=self.calculated.governing,
                status=self.calculated.status,
            )
        return (
            self.limit.citation
            if self.limit
            else Citation(document="no rule covers this", status="own_convention")
        )

    @property
    def working(self) -> tuple[Step, ...]:
        """The steps behind the value."""
        if self.calculated is not None:
            return self.calculated.steps
        return self.limit.working if self.limit else ()

    @property
    def suspect(self) -> bool:
        """Whether a table row behind it is printed out of family."""
        return self.basis == "table" and self.limit is not None and self.limit.suspect

    @property
    def remembered(self) -> bool:
        """Whether the governing calculation rests on a design value from memory."""
        return self.calculated is not None and self.calculated.status == "memory"


def _by_table(limit: Limit) -> Allowed:
    return Allowed(limit.value_in, "table", limit)


def _calculated(found: Allowable | NoRule, limit: Limit | None) -> Allowed:
    if isinstance(found, NoRule):
        return Allowed(None, "calculated", limit, None, found.why)
    return Allowed(found.value, "calculated", limit, found)


def _fall_back(
    criteria: Criteria, limit: Limit, calculate: Callable[[TimberData], Allowable | NoRule]
) -> Allowed:
    if limit.covered and criteria.grade == TABLE_GRADE:
        return _by_table(limit)
    if limit.covered:
        better = _calculated(calculate(criteria.timber), limit) if criteria.timber else None
        return replace(_by_table(limit), beyond=better if better and better.value_in else None)
    if criteria.timber is None:
        return Allowed(None, "calculated", limit, None, "no design values were given")
    return _calculated(calculate(criteria.timber), limit)


def _load_kind(criteria: Criteria) -> str:
    return "snow" if criteria.snow_psf > criteria.live_psf else "live"


def allowed_joist_span(criteria: Criteria, size: str, spacing_in: float, cantilever_in: float) -> Allowed:
    """Return the longest joist span.

    Source: IRC Table R507.5 (2015), R507.6 (2018 on); off the tables NDS 3.3 to 3.5.

    Args:
        criteria: rules and loads.
        size: nominal size.
        spacing_in: centre to centre, in.
        cantilever_in: longest cantilever of the joist, in.

    >>> by_table = allowed_joist_span(criteria, "2x10", 16.0, 0.0)
    >>> by_table.value_in, by_table.basis
    (168.0, 'table')
    >>> between = allowed_joist_span(criteria, "2x10", 19.2, 0.0)
    >>> round(between.value_in, 1), between.basis
    (153.7, 'calculated')
    """
    limit = joist_span_limit(criteria, size, spacing_in, cantilever_in)

    def by_nds(data: TimberData) -> Allowable | NoRule:
        return joist_span(
            data, criteria.species, size, spacing_in, criteria.variable_psf, _load_kind(criteria),
            criteria.dead_psf, criteria.grade,
        )  # fmt: skip

    return _fall_back(criteria, limit, by_nds)


def allowed_cantilever(criteria: Criteria, size: str, spacing_in: float, back_span_in: float) -> Allowed:
    """Return the longest joist cantilever beside a back span.

    Source: as `joist_cantilever_limit`; off the tables the calculation behind the 2021 table. A back span under
    4 ft has no cantilever in any edition's tables by back span, so none is calculated.

    Args:
        criteria: rules and loads.
        size: nominal size.
        spacing_in: centre to centre, in.
        back_span_in: actual span beside the cantilever, in.

    >>> allowed_cantilever(criteria, "2x10", 16.0, 120.0).value_in
    30.0
    >>> allowed_cantilever(criteria, "2x10", 16.0, 40.0).value_in is None
    True
    """
    limit = joist_cantilever_limit(criteria, size, spacing_in, back_span_in)
    if criteria.table_load_psf is not None and criteria.species_group and not limit.covered:
        return _by_table(limit)

    def by_nds(data: TimberData) -> Allowable | NoRule:
        return joist_cantilever_2021(
            data, criteria.species, size, back_span_in, criteria.variable_psf, _load_kind(criteria)
        )

    return _fall_back(criteria, limit, by_nds)


def allowed_beam_span(
    criteria: Criteria, size: str, plies: int, joist_span_ft: float, cantilever_ft: float
) -> Allowed:
    """Return the longest span of a beam with joists on one side.

    Source: as `beam_span_limit`; off the tables NDS with the joists' true reaction.

    Args:
        criteria: rules and loads.
        size: nominal size of one ply.
        plies: 1 to 3.
        joist_span_ft: joist span, ft.
        cantilever_ft: joist cantilever, ft.

    >>> round(allowed_beam_span(criteria, "2x10", 2, 10.0, 2.0).value_in, 1)
    99.6
    """
    limit = beam_span_limit(criteria, size, plies, joist_span_ft, cantilever_ft)
    share_ft = (joist_span_ft + cantilever_ft) ** 2 / (2 * joist_span_ft)
    return _fall_back(criteria, limit, lambda data: _line_load(data, criteria, size, plies, share_ft))


def _line_load(
    data: TimberData, criteria: Criteria, size: str, plies: int, share_ft: float
) -> Allowable | NoRule:
    return line_load_beam_span(
        data, criteria.species, size, plies, criteria.dead_psf * share_ft, criteria.variable_psf * share_ft,
        _load_kind(criteria), criteria.grade,
    )  # fmt: skip


def allowed_interior_beam_span(
    criteria: Criteria,
    size: str,
    plies: int,
    near_span_ft: float,
    far_span_ft: float,
    broken: bool,
    share_ft: float,
) -> Allowed:
    """Return the longest span of a beam with joists on both sides: the lesser of calculation and table.

    Source: statics and NDS for the true reaction; IRC beam table at the sum of both spans, no factor, zero
    cantilever (own convention; where the table reads pairs of span and cantilever, for broken joists only).

    Args:
        criteria: rules and loads.
        size: nominal size of one ply.
        plies: 1 to 3.
        near_span_ft: joist span on the house side, ft.
        far_span_ft: joist span on the yard side, ft.
        broken: whether the joists lap over the beam.
        share_ft: joist reaction on the beam for 1 psf, lb per foot of beam.

    >>> allowed_interior_beam_span(criteria, "2x10", 3, 8.0, 6.0, True, 7.0).value_in
    102.0
    """
    if criteria.timber is None:
        return Allowed(None, "calculated", None, None, "no design values were given")
    found = _calculated(_line_load(criteria.timber, criteria, size, plies, share_ft), None)
    by_pair = criteria.rulebook.in_force_settings.beam_lookup_rule == "span_and_cantilever_pair"
    if by_pair and not broken:
        return found
    limit = interior_beam_table_limit(criteria, size, plies, near_span_ft, far_span_ft)
    if limit.value_in is None or found.value_in is None or found.value_in <= limit.value_in:
        return found
    return _by_table(limit)


def allowed_post_height(
    criteria: Criteria, size: str, beam_plies: int, tributary_sqft: float, height_in: float = 0.0
) -> Allowed:
    """Return the tallest post, beam bottom to pier top.

    Source: as `post_height_limit`; off the tables, and for posts over 14 ft, NDS 3.6 and 3.7.

    Args:
        criteria: rules and loads.
        size: nominal size.
        beam_plies: plies of the beam on it.
        tributary_sqft: deck area on it, sq ft.
        height_in: the post's height, in; over 14 ft no table covers it.

    >>> allowed_post_height(criteria, "6x6", 2, 60.0).value_in
    168.0
    >>> allowed_post_height(criteria, "6x6", 2, 60.0, 180.0).basis
    'calculated'
    """
    limit = post_height_limit(criteria, size, beam_plies, tributary_sqft)
    if height_in > TALLEST_POST_IN:
        limit = replace(limit, value_in=None, outcome="off_table")
    load_lb = tributary_sqft * criteria.design_psf

    def by_nds(data: TimberData) -> Allowable | NoRule:
        return post_height(data, criteria.species, size, load_lb, _load_kind(criteria), criteria.grade)

    return _fall_back(criteria, limit, by_nds)


def without_rule(criteria: Criteria) -> tuple[str, ...]:
    """Return why no rule sizes usual members here: what table and calculation both lack; empty if none is lacking.

    Source: the refusals of the functions above for a small joist, beam and post.

    Args:
        criteria: rules, loads (psf) and species.
    """
    tried = (
        allowed_joist_span(criteria, "2x10", 12.0, 0.0),
        allowed_beam_span(criteria, "2x10", 2, 6.0, 0.0),
        allowed_post_height(criteria, "6x6", 2, 20.0),
    )
    return tuple(dict.fromkeys(one.why for one in tried if one.value_in is None and one.why))
