"""Size of a concrete footing: the deck table by edition, and bearing by calculation."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from service.contract.report_comparison import CodedText
from service.rules.lookups import Reading, at_or_above, at_or_below, exact, linear
from service.rules.rulebook import Rulebook
from service.rules.settings import OwnWeightRule
from service.sizing.criteria import Criteria
from service.units.citation import Citation
from service.units.finding import SLACK
from service.units.working import Step, step, word

TABLE = "footing_sizes"
LEAST_WIDTH = "deck_footing_width"
CONCRETE_PCF = 150.0  # DCA 6 Table 4 note 2
SOIL_PCF = 110.0  # moist fill, from memory
# The least cell of IRC 2018 Table R507.3.1; the 2015 edition prints no table of its own.
LEAST_SQUARE_IN, LEAST_ROUND_IN, LEAST_THICKNESS_IN = 12.0, 14.0, 6.0
IN2_PER_SQFT = 144.0


@dataclass(frozen=True)
class FootingSize:
    """A footing that bears its load, in whole inches.

    ``basis`` says where the governing diameter comes from, ``cells`` are those of the table where it governs.
    ``with_weight_in`` is the round diameter when the whole concrete is weighed too, ``weight_steps`` its working.
    ``engineer`` and ``cautions`` are what has to be said of the size, ``square_least`` what a place asks of the side.
    """

    square_in: float
    round_in: float
    thickness_in: float
    basis: Literal["table", "calculated"]
    size_citation: Citation
    thickness_citation: Citation
    steps: tuple[Step, ...]
    thickness_steps: tuple[Step, ...]
    net_bearing_psf: float
    with_weight_in: float | None
    engineer: tuple[CodedText, ...] = ()
    cautions: tuple[CodedText, ...] = ()
    cells: TableCells | None = None
    weight_steps: tuple[Step, ...] = ()
    square_least: Reading | None = None

    @property
    def square_citation(self) -> Citation:
        """Where the side of the square comes from."""
        if self.square_least is not None:
            return self.square_least.citation
        return self.cells.square.citation if self.cells else self.size_citation

    @property
    def square_steps(self) -> tuple[Step, ...]:
        """The working of the side of the square."""
        if self.square_least is not None:
            return (*self.steps, *self.square_least.steps)
        if self.cells is None:
            return self.steps
        return (*self.cells.entry, *self.cells.square.steps, *self.weight_steps)


@dataclass(frozen=True)
class TableCells:
    """The three cells of one footing table entry, read the same way."""

    square: Reading
    round: Reading
    thickness: Reading
    entry: tuple[Step, ...]

    @property
    def found(self) -> bool:
        """Whether all three are on the table."""
        return self.square.found and self.round.found and self.thickness.found


def whole_inches_up(size_in: float) -> float:
    """Return a size rounded up to the next whole inch, in.

    Source: DCA 6 Table 4 rounds up; so does this service wherever a table is interpolated.

    Args:
        size_in: size, in.

    >>> whole_inches_up(19.0), whole_inches_up(19.05)
    (19.0, 20.0)
    """
    return float(math.ceil(size_in - SLACK))


def bearing_area_sqft(load_lb: float, bearing_psf: float) -> float:
    """Return the area that spreads a load to an allowed pressure, sq ft.

    Source: bearing area, load over pressure (77 Ill. Adm. Code 870 Table B is computed so).

    Args:
        load_lb: load on the footing, lb.
        bearing_psf: allowed pressure, psf, over zero.

    >>> round(bearing_area_sqft(3200, 1000) * 144, 1)
    460.8
    """
    return load_lb / bearing_psf


def round_for_in(area_sqft: float) -> float:
    """Return the diameter of a circle of an area, in, unrounded.

    Source: geometry, D = sqrt(4 A / pi).

    Args:
        area_sqft: area, sq ft.

    >>> round(round_for_in(2.1817), 2)
    20.0
    """
    return math.sqrt(4.0 * IN2_PER_SQFT * area_sqft / math.pi)


def square_for_in(area_sqft: float) -> float:
    """Return the side of a square of an area, in, unrounded.

    Source: geometry.

    Args:
        area_sqft: area, sq ft.

    >>> square_for_in(4.0)
    24.0
    """
    return math.sqrt(IN2_PER_SQFT * area_sqft)


def net_bearing_psf(rule: OwnWeightRule, bearing_psf: float, thickness_in: float, length_in: float) -> float:
    """Return what is left of the soil's bearing for the load once the footing's own weight is taken off, psf.

    Source: ``gross`` as IRC Table R507.3.1 is made, ``base`` as DCA 6 Table 4 note 2 (150 pcf), ``full`` as
    Wis. Admin. Code SPS 321.15, ``net_of_soil`` from memory (110 pcf soil displaced).

    Args:
        rule: the rulebook's own-weight rule.
        bearing_psf: allowed soil pressure, psf.
        thickness_in: thickness of the footing alone, in.
        length_in: length of all the concrete over the bearing, in.

    >>> net_bearing_psf("base", 1500.0, 10, 35), net_bearing_psf("gross", 1500.0, 10, 35)
    (1375.0, 1500.0)
    """
    if rule == "gross":
        return bearing_psf
    if rule == "base":
        return bearing_psf - CONCRETE_PCF * thickness_in / 12.0
    weight_pcf = CONCRETE_PCF if rule == "full" else CONCRETE_PCF - SOIL_PCF
    return bearing_psf - weight_pcf * length_in / 12.0


def table_cells(criteria: Criteria, tributary_sqft: float) -> TableCells | None:
    """Return the footing table's entry, or None where the edition has no such table.

    Source: IRC 2018 on, Table R507.3.1: linear between tributary rows, the next lower soil column, the next
    load column up; under the first row that row, past 160 sq ft off the table.

    Args:
        criteria: rules, loads and soil.
        tributary_sqft: load over design load, sq ft.

    >>> table_cells(criteria, 60.0).round.value
    19.0
    """
    if not criteria.rulebook.in_force_settings.footing_table:
        return None
    table = criteria.rulebook.tables[TABLE]
    load = criteria.table_load_psf or at_or_above(table.printed_values("load_psf"), criteria.variable_psf)
    soil = at_or_below(table.printed_values("soil_bearing_psf"), criteria.ground.soil_bearing_psf)
    areas = table.printed_values("tributary_area_sqft")
    key = {"load_psf": load, "soil_bearing_psf": soil}
    entry = (
        step("A", tributary_sqft, "sqft", "load over design load"),
        step("load", load or criteria.variable_psf, "psf", "table's load column"),
        step("soil", soil or criteria.ground.soil_bearing_psf, "psf", "table's soil column, next lower"),
    )

    def read(column: str) -> Reading:
        # A smaller area than any printed takes the first row: larger than needed, so never unsafe.
        if tributary_sqft < areas[0]:
            return exact(table, {**key, "tributary_area_sqft": areas[0]}, column)
        return linear(table, key, column, tributary_sqft)

    return TableCells(read("square_side_in"), read("round_diameter_in"), read("thickness_in"), entry)


def footing_size(criteria: Criteria, load_lb: float, length_in: float) -> FootingSize | CodedText:
    """Return the footing for a load: by table where the edition has one, else by bearing.

    Source: IRC Table R507.3.1 (2018 on); for 2015 bearing with the 2018 table's least sizes; the rulebook's
    ``own_weight_rule`` may call for more, and then the larger governs.

    Args:
        criteria: rules, loads and soil.
        load_lb: load to size for, lb.
        length_in: length of the concrete, in, for its own weight.

    Returns:
        The size in whole inches; a code and sentence where the soil has no bearing to offer. A load or soil
        off the table is sized by calculation and carries an engineer reason.

    >>> sized = footing_size(criteria, 3000.0, 35.0)
    >>> sized.square_in, sized.round_in, sized.thickness_in, sized.basis
    (17.0, 19.0, 6.0, 'table')
    """
    bearing_psf = criteria.ground.soil_bearing_psf
    # Organic soil and fill have no presumptive value: there is nothing to divide by.
    if bearing_psf <= 0:
        return CodedText("bearing_too_low", "the soil has no presumptive bearing value")
    cells = table_cells(criteria, load_lb / criteria.design_psf)
    rule = criteria.rulebook.in_force_settings.own_weight_rule
    sized = _by_table(criteria, cells) if cells and cells.found else _by_bearing(criteria, cells, load_lb)
    return _no_smaller(_weighed(criteria, sized, rule, load_lb, length_in), least_width(criteria.rulebook))


def least_width(rulebook: Rulebook) -> Reading:
    """Return the least width a place asks of any deck footing, in; not found where it asks for none.

    Source: a local amendment; no published code has such a row.

    Args:
        rulebook: the rules in force.

    >>> least_width(criteria.rulebook).value is None
    True
    """
    return rulebook.limit(LEAST_WIDTH)


def _no_smaller(sized: FootingSize, least: Reading) -> FootingSize:
    """The size where a place asks for a least width: for what is narrower that width, and its own citation."""
    least_in = whole_inches_up(least.value or 0.0)
    if min(sized.square_in, sized.round_in) >= least_in:
        return sized
    if sized.square_in < least_in:
        sized = replace(sized, square_in=least_in, square_least=least)
    if sized.round_in < least_in:
        steps = (*sized.steps, *least.steps)
        sized = replace(sized, round_in=least_in, size_citation=least.citation, steps=steps)
    return sized


def _by_table(criteria: Criteria, cells: TableCells) -> FootingSize:
    square, diameter, thickness = (
        whole_inches_up(reading.value or 0.0) for reading in (cells.square, cells.round, cells.thickness)
    )
    suspect = cells.round.suspect or cells.thickness.suspect
    text = "a footing table row is printed out of family; the larger of printed and likely size is used"
    return FootingSize(
        square_in=square,
        round_in=diameter,
        thickness_in=thickness,
        basis="table",
        size_citation=cells.round.citation,
        thickness_citation=cells.thickness.citation,
        steps=cells.entry + cells.round.steps,
        thickness_steps=cells.entry + cells.thickness.steps,
        net_bearing_psf=criteria.ground.soil_bearing_psf,
        with_weight_in=None,
        cautions=(CodedText("table_row_suspect", text),) if suspect else (),
        cells=cells,
    )


def _by_bearing(criteria: Criteria, cells: TableCells | None, load_lb: float) -> FootingSize:
    bearing_psf = criteria.ground.soil_bearing_psf
    area_sqft = bearing_area_sqft(load_lb, bearing_psf)
    square = max(LEAST_SQUARE_IN, whole_inches_up(square_for_in(area_sqft)))
    diameter = max(LEAST_ROUND_IN, whole_inches_up(round_for_in(area_sqft)))
    thickness = max(LEAST_THICKNESS_IN, whole_inches_up((square - LEAST_THICKNESS_IN) / 2.0))
    steps = (
        step("P", load_lb, "lb", "load on the footing"),
        step("q", bearing_psf, "psf", "soil bearing"),
        step("A", area_sqft, "sqft", "P / q"),
        step("D", diameter, "in", "circle of A, up to the whole inch, at least 14 in"),
    )
    cite = Citation(
        "International Residential Code",
        "2018",
        "R507.3.1",
        "Table R507.3.1",
        column="least size",
        status="two_sources",
    )
    engineer, cautions = _off_table(criteria, cells)
    return FootingSize(
        square, diameter, thickness, "calculated", cite, cite, steps,
        (step("t", thickness, "in", "half of side less 6 in, at least 6 in"),), bearing_psf, None,
        engineer, cautions,
    )  # fmt: skip


def _off_table(
    criteria: Criteria, cells: TableCells | None
) -> tuple[tuple[CodedText, ...], tuple[CodedText, ...]]:
    """Why a size is calculated: no table in the edition is a caution, off the table an engineer's matter."""
    weak = criteria.ground.soil_bearing_psf < _least_presumptive_psf(criteria)
    soil = CodedText("soil_needs_engineer", "soil bearing under the least presumptive value of the code")
    if cells is None:
        edition = criteria.rulebook.edition
        text = f"the {edition} edition prints no footing table; footings are sized by bearing"
        return ((soil,) if weak else (), (CodedText("no_footing_table", text),))
    if weak:
        return (soil,), ()
    return (CodedText("footing_above_table", cells.round.why),), ()


def _least_presumptive_psf(criteria: Criteria) -> float:
    return criteria.rulebook.limit("bearing_clay").value or 0.0


def _weighed(
    criteria: Criteria, sized: FootingSize, rule: OwnWeightRule, load_lb: float, length_in: float
) -> FootingSize:
    """The size with the concrete weighed by the rule in force, and beside it with the whole pier weighed."""
    bearing_psf = criteria.ground.soil_bearing_psf
    full = _diameter_in(load_lb, net_bearing_psf("full", bearing_psf, sized.thickness_in, length_in))
    net = net_bearing_psf(rule, bearing_psf, sized.thickness_in, length_in)
    needed = sized.round_in if rule == "gross" else _diameter_in(load_lb, net)
    weighed: tuple[Step, ...] = (word("own_weight_rule", rule, "rulebook setting"),)
    if full is not None:
        weighed = (*weighed, step("D_with_weight", full, "in", "with the whole pier weighed at 150 pcf"))
    shown = replace(
        sized, net_bearing_psf=net, with_weight_in=full, steps=(*sized.steps, *weighed), weight_steps=weighed
    )
    if needed is None:
        text = "the concrete's own weight leaves the soil nothing to carry the deck with"
        return replace(shown, engineer=(*sized.engineer, CodedText("soil_needs_engineer", text)))
    if needed <= sized.round_in:
        return shown
    square = max(sized.square_in, whole_inches_up(needed * math.sqrt(math.pi) / 2.0))
    cite = criteria.rulebook.setting("own_weight_rule").citation
    return replace(
        shown, round_in=needed, square_in=square, basis="calculated", size_citation=cite, cells=None
    )


def _diameter_in(load_lb: float, net_psf: float) -> float | None:
    if net_psf <= 0:
        return None
    return whole_inches_up(round_for_in(bearing_area_sqft(load_lb, net_psf)))
