"""A footing alone: sizes by table and by soil bearing, with and without the weight of its own concrete."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import msgspec

from service.checks.judged import caution, reason
from service.checks.members import judging
from service.checks.members.post import load_lb_of
from service.checks.members.sides import BY_TABLE, Said, Worked, allowable_of, decides, side
from service.contract.choices import OwnWeight
from service.contract.member_checks import FootingCheckSpec
from service.contract.member_checks_answer import CheckBound, MemberAllowable, MemberLimit, MemberRefusal
from service.contract.report import Caution, Reason
from service.rules.lookups import Reading
from service.sizing.calculated_footings import DEAD_PSF, FLOORS_IN, FootingCell, footing_cell
from service.sizing.criteria import Criteria
from service.sizing.footings import (
    LEAST_ROUND_IN,
    LEAST_SQUARE_IN,
    LEAST_THICKNESS_IN,
    TableCells,
    bearing_area_sqft,
    least_width,
    net_bearing_psf,
    round_for_in,
    square_for_in,
    table_cells,
    whole_inches_up,
)
from service.timber.refusal import NoRule
from service.units.citation import Citation
from service.units.finding import Basis, Finding, at_least
from service.units.working import Step, step, word

DIAMETER, SIDE, THICKNESS = "footing_diameter", "footing_side", "footing_thickness"
FOOTING = judging.alone("footing")
NEEDS_LENGTH = ("full", "net_of_soil")
BY_BEARING = (
    "Load over soil bearing. The tables leave out the weight of the footing and round to the nearest inch; the "
    "rulebook's own-weight rule holds, and a stricter one asked for holds besides."
)


@dataclass(frozen=True)
class Soil:
    """What a footing stands on and carries, and how long its concrete is."""

    load_lb: float
    bearing_psf: float
    length_in: float | None
    floors_in: tuple[float, float]
    edition: str
    cell: FootingCell | None


def _soil(spec: FootingCheckSpec, criteria: Criteria) -> Soil:
    edition = criteria.rulebook.edition
    least_in = least_width(criteria.rulebook).value or 0.0
    square_in, round_in = FLOORS_IN.get(edition, (LEAST_SQUARE_IN, LEAST_ROUND_IN))
    floors = max(square_in, least_in), max(round_in, least_in)
    load_lb = load_lb_of(spec, criteria)
    bearing_psf, varying_psf = criteria.ground.soil_bearing_psf, criteria.variable_psf
    # The table's dead load is 10 psf whatever is in force, so the area is that of this load in the table.
    cell = footing_cell(edition, load_lb / (varying_psf + DEAD_PSF), varying_psf, bearing_psf)
    printed = None if isinstance(cell, NoRule) else cell
    return Soil(load_lb, bearing_psf, spec.concrete_length_in, floors, edition, printed)


def _cell(quantity: str, reading: Reading, entry: tuple[Step, ...]) -> MemberLimit:
    size_in = whole_inches_up(reading.value or 0.0)
    up = step(quantity, size_in, "in", "up to the whole inch")
    return MemberLimit(
        quantity=quantity,
        sense="at_least",
        value=size_in,
        unit="in",
        printed=reading.printed,
        method="table_cell",
        governing="table_cell",
        bounds=(),
        species=None,
        status=reading.citation.status,
        citation=reading.citation,
        working=(*entry, *reading.steps, up),
    )


def _by_table(cells: TableCells | None, soil: Soil, least_soil_psf: float) -> tuple[Said, tuple[Said, ...]]:
    if cells is None:
        text = f"The {soil.edition} edition prints no footing table."
        return MemberRefusal(DIAMETER, "no_table_in_edition", text), ()
    if not cells.found:
        weak = soil.bearing_psf < least_soil_psf
        code = "soil_needs_engineer" if weak else "footing_above_table"
        return MemberRefusal(DIAMETER, code, f"{cells.round.why}."), ()
    square, thick = (
        _cell(name, reading, cells.entry)
        for name, reading in ((SIDE, cells.square), (THICKNESS, cells.thickness))
    )
    return _cell(DIAMETER, cells.round, cells.entry), (square, thick)


def _no_smaller(said: Said, least: Reading) -> Said:
    """A width read from the table where a place asks for a least width."""
    narrow = (
        isinstance(said, MemberLimit) and said.quantity != THICKNESS and said.value < (least.value or 0.0)
    )
    if not narrow or not isinstance(said, MemberLimit):
        return said
    working = (*said.working, *least.steps)
    return msgspec.structs.replace(said, value=least.value or 0.0, citation=least.citation, working=working)


def _thickness_in(soil: Soil, cells: TableCells | None) -> float:
    if cells is not None and cells.found:
        return whole_inches_up(cells.thickness.value or 0.0)
    side_in = square_for_in(bearing_area_sqft(soil.load_lb, soil.bearing_psf))
    return max(LEAST_THICKNESS_IN, whole_inches_up((side_in - LEAST_THICKNESS_IN) / 2))


def by_bearing(rule: OwnWeight, soil: Soil, thickness_in: float) -> Said:
    """Return the diameter that bears a load by an own-weight rule, in; exact, and as the table rounds it."""
    if rule in NEEDS_LENGTH and soil.length_in is None:
        text = f"The rule {rule} weighs the concrete: give concrete_length_in."
        return MemberRefusal(DIAMETER, "length_of_concrete_needed", text)
    net_psf = net_bearing_psf(rule, soil.bearing_psf, thickness_in, soil.length_in or 0.0)
    if net_psf <= 0:
        text = "The concrete's own weight leaves the soil nothing to carry the deck with."
        return MemberRefusal(DIAMETER, "soil_needs_engineer", text)
    return _borne(rule, soil, net_psf, thickness_in)


def _borne(rule: OwnWeight, soil: Soil, net_psf: float, thickness_in: float) -> MemberLimit:
    area_sqft = bearing_area_sqft(soil.load_lb, net_psf)
    exact_in, floor_in = round_for_in(area_sqft), soil.floors_in[1]
    cell = soil.cell if rule == "gross" else None
    printed = None if cell is None else cell.round_diameter_in
    return MemberLimit(
        quantity=DIAMETER,
        sense="at_least",
        value=max(exact_in, floor_in),
        unit="in",
        printed=printed,
        method=f"bearing_{rule}",
        governing="bearing" if exact_in >= floor_in else "least_size",
        bounds=(CheckBound("bearing", exact_in, "in"), CheckBound("least_size", floor_in, "in")),
        species=None,
        status=_status(rule),
        citation=_cited(rule),
        working=(*_weighed(rule, soil, net_psf, thickness_in), *_sized(area_sqft, exact_in, floor_in)),
    )


def _status(rule: OwnWeight) -> str:
    # The 110 pcf of displaced soil is remembered.
    return "memory" if rule == "net_of_soil" else "one_source"


def _cited(rule: OwnWeight) -> Citation:
    sources = {
        "gross": ("IRC Table R507.3.1", "as its cells are made: gross bearing"),
        "base": ("AWC DCA 6", "Table 4 note 2: the footing's own thickness at 150 pcf"),
        "full": ("Wis. Admin. Code", "SPS 321.15: all concrete over the bearing"),
        "net_of_soil": ("geotechnical usage", "concrete less the soil it replaces"),
    }
    document, section = sources[rule]
    return Citation(document, section=section, status=_status(rule))


def _weighed(rule: OwnWeight, soil: Soil, net_psf: float, thickness_in: float) -> Iterator[Step]:
    yield step("P", soil.load_lb, "lb", "load on the footing")
    yield step("q", soil.bearing_psf, "psf", "soil bearing")
    yield word("own_weight_rule", rule, "how the footing's own concrete counts")
    if rule == "base":
        yield step("t", thickness_in, "in", "thickness of the footing, weighed at 150 pcf")
    if rule in NEEDS_LENGTH:
        yield step("L", soil.length_in or 0.0, "in", "length of concrete over the bearing")
    yield step("q_net", net_psf, "psf", "bearing left for the load")


def _sized(area_sqft: float, exact_in: float, floor_in: float) -> Iterator[Step]:
    yield step("A", area_sqft, "sqft", "P / q_net")
    yield step("D", exact_in, "in", "sqrt(4 A / pi)")
    yield step("D_least", floor_in, "in", "least diameter the table prints")


def _square_and_thick(main: Said, soil: Soil) -> Iterator[MemberLimit]:
    """Side and thickness that go with the calculated diameter, as the table's rule makes them."""
    if not isinstance(main, MemberLimit):
        return
    cell = soil.cell if main.method == "bearing_gross" else None
    exact_in = main.bounds[0].value * math.sqrt(math.pi) / 2
    side_in = max(exact_in, soil.floors_in[0])
    square = step("s", exact_in, "in", "D sqrt(pi) / 2, the square of the same area")
    yield _with(main, SIDE, side_in, None if cell is None else cell.square_side_in, (square,))
    thick_in = max(LEAST_THICKNESS_IN, (exact_in - LEAST_THICKNESS_IN) / 2)
    fitted = step("t", thick_in, "in", "(s - 6) / 2, at least 6: fit of IRC Table R507.3.1")
    yield _with(main, THICKNESS, thick_in, None if cell is None else cell.thickness_in, (square, fitted))


def _with(
    main: MemberLimit, quantity: str, value_in: float, printed: float | None, working: tuple[Step, ...]
) -> MemberLimit:
    return msgspec.structs.replace(
        main, quantity=quantity, value=value_in, printed=printed, bounds=(), working=working
    )


def _rules(spec: FootingCheckSpec, criteria: Criteria) -> tuple[OwnWeight, ...]:
    """The rulebook's rule first, and the one asked for: asking may not undo the rulebook's."""
    own: OwnWeight = criteria.rulebook.in_force_settings.own_weight_rule
    return tuple(dict.fromkeys((own, spec.own_weight_rule or own)))


def _governs(said: tuple[Said, ...]) -> Said:
    """The larger of what the rules ask for; a rule that cannot be worked out comes before a size."""
    refused = next((one for one in said if isinstance(one, MemberRefusal)), None)
    sizes = [one for one in said if isinstance(one, MemberLimit)]
    return refused or max(sizes, key=lambda one: one.value)


def _beside(rules: tuple[OwnWeight, ...], soil: Soil, thickness_in: float) -> tuple[Said, ...]:
    """The other rules that can be worked out; the whole concrete only where its length is given."""
    shown: tuple[OwnWeight, ...] = ("gross", "base", "full") if soil.length_in else ("gross", "base")
    return tuple(by_bearing(rule, soil, thickness_in) for rule in shown if rule not in rules)


def _decides(
    table: Said, main: Said, rules: tuple[OwnWeight, ...]
) -> tuple[MemberAllowable | None, str | None]:
    """The table leaves the concrete's weight out: a rule that counts it decides where it asks for more."""
    if rules == ("gross",):
        return decides(table, main)
    if isinstance(main, MemberRefusal):
        return None, None
    if isinstance(table, MemberLimit) and table.value >= main.value:
        return decides(table, main)
    return allowable_of(main, "calculated"), main.governing


def _against(said: Said, diameter_in: float, basis: Basis) -> Iterator[Finding]:
    if isinstance(said, MemberLimit):
        found = at_least(
            FOOTING, "footing_size", basis, diameter_in, said.value, "in", said.citation, said.working
        )
        yield judging.with_advice(found, f"at least {whole_inches_up(said.value):g} in")


def _findings(
    spec: FootingCheckSpec, table: Said, main: Said, rules: tuple[OwnWeight, ...]
) -> tuple[Finding, ...]:
    if spec.diameter_in is None:
        return ()
    # A rule that weighs the concrete is not excused by a table that leaves the weight out.
    basis: Basis = "calculated" if rules == ("gross",) else "rule"
    return (*_against(table, spec.diameter_in, "table"), *_against(main, spec.diameter_in, basis))


def _reasons(table: Said, main: Said) -> tuple[Reason, ...]:
    found = judging.off_table(table, FOOTING)
    if isinstance(main, MemberRefusal):
        return (*found, reason("soil_needs_engineer", main.text, FOOTING))
    return found


def _cautions(cells: TableCells | None, soil: Soil, said: tuple[Said, ...]) -> tuple[Caution, ...]:
    found = list(judging.remembered(said, FOOTING))
    if cells is None:
        text = f"The {soil.edition} edition prints no footing table; footings are sized by bearing."
        found.append(caution("no_footing_table", text, "Ask the building department how it sizes them."))
    elif cells.found:
        odd = cells.round.suspect or cells.thickness.suspect
        found += judging.suspect(odd, cells.round.citation.table or "the footing table", FOOTING)
    return tuple(found)


def check_footing(spec: FootingCheckSpec, criteria: Criteria) -> Worked:
    """Return a footing worked out on both sides, and whether the diameter given is enough."""
    soil, rules = _soil(spec, criteria), _rules(spec, criteria)
    cells = table_cells(criteria, soil.load_lb / criteria.design_psf)
    least = least_width(criteria.rulebook)
    read, others = _by_table(cells, soil, criteria.rulebook.limit("bearing_clay").value or 0.0)
    table, sizes = _no_smaller(read, least), tuple(_no_smaller(one, least) for one in others)
    thickness_in = _thickness_in(soil, cells)
    asked = tuple(by_bearing(rule, soil, thickness_in) for rule in rules)
    main = _governs(asked)
    beside = (*(one for one in asked if one is not main), *_beside(rules, soil, thickness_in))
    allowable, governing = _decides(table, main, rules)
    return Worked(
        table=side(BY_TABLE, table, sizes),
        calculated=side(BY_BEARING, main, [*_square_and_thick(main, soil), *beside]),
        allowable=allowable,
        governing=governing,
        judged=judging.judged(
            _findings(spec, table, main, rules),
            _reasons(table, main),
            _cautions(cells, soil, (main, *beside)),
        ),
        asked=spec.diameter_in is not None,
    )
