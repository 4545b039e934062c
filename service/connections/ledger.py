"""Judge a ledger: may it hang on this wall, where does it land, with which fasteners."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.connections.lateral import LateralAsk, LateralTies, lateral_ties, length_in
from service.connections.ledger_fasteners import LONGEST_PIECE_IN, FastenerPlan, LedgerRun, plan_fasteners
from service.connections.ledger_lumber import LedgerLumber, ledger_lumber, size_findings
from service.connections.ledger_placement import Board, Landing, band_of, land, ledger_board
from service.connections.ledger_walls import WallAnswer, answer_for, band_answer, wall_finding
from service.connections.wall import BAND_WALLS, WallBehind
from service.contract.report import Caution, Reason
from service.contract.report_comparison import Status
from service.contract.report_frame import Ledger, Point
from service.sizing.criteria import Criteria
from service.units.citation import Citation
from service.units.finding import Finding

RANK: Mapping[Status, int] = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
DESIGNED = "anchor.designed"
OUTSIDE = ("above_band", "straddles", "sill_plate")


@dataclass(frozen=True)
class LedgerAsk:
    """A ledger to be judged.

    Lengths and heights in in (``_ft`` in ft), heights above the grade datum. ``pinned_species`` is the caller's
    wish for the ledger, ``longest_piece_in`` the longest stock, ``deck_width_ft`` the deck's own along the wall.
    ``joists_at_in`` are joist lines from the ledger's start, in; empty where not laid out.
    """

    member: str
    mark: str
    edge: int
    start_ft: Point
    end_ft: Point
    size: str
    joist_size: str
    surface_height_in: float
    decking_thickness_in: float
    first_span_in: float
    projection_ft: float
    pinned_species: str | None = None
    joists_at_in: tuple[float, ...] = ()
    longest_piece_in: float = LONGEST_PIECE_IN
    deck_width_ft: float = 0.0


@dataclass(frozen=True)
class LedgerResult:
    """A judged ledger.

    ``possible`` is the worst of its reasons and checks; a failing check has no reason here beyond its own.
    ``ledger`` is worked out whatever the answer, null only where there is no wall. ``lands_on`` is null where
    the heights are not known. ``stacked_washers``: half an inch of washers behind the ledger at each bolt.
    """

    possible: Status
    ledger: Ledger | None
    lands_on: str | None
    reasons: tuple[Reason, ...]
    cautions: tuple[Caution, ...]
    findings: tuple[Finding, ...]
    stacked_washers: bool = False


def worst(statuses: Sequence[Status]) -> Status:
    """Return the worst of verdicts; of none, ``prescriptive`` (no unit).

    Source: order of verdicts in this service's contract.

    >>> worst(["prescriptive", "engineer_required"])
    'engineer_required'
    """
    return max(statuses, key=lambda one: RANK[one], default="prescriptive")


def judge_ledger(wall: WallBehind, criteria: Criteria, ask: LedgerAsk) -> LedgerResult:
    """Return whether a ledger may hang on a wall, and the ledger.

    Source: IRC R507.9.1 with Tables R507.9.1.3(1) and (2) (2015: R507.2), R507.8 where the wall is not known,
    DCA 6 for hollow masonry and overhangs.

    Args:
        wall: the wall behind, lengths in in.
        criteria: rules, loads, species.
        ask: the ledger wished.

    Returns:
        Verdict, ledger, reasons, cautions and findings.
    """
    if wall.wall == "none":
        return _no_wall(wall, criteria, ask)
    board = ledger_board(ask.size, ask.surface_height_in, ask.decking_thickness_in)
    landing = _landing(wall, criteria, ask, board)
    answer = _answer(wall, criteria, landing)
    lumber = ledger_lumber(criteria.species, criteria.grade, ask.pinned_species)
    plan = _plan(wall, criteria, ask, answer)
    ties = lateral_ties(criteria, _lateral_ask(wall, ask))
    reasons = (
        *answer.reasons(ask.member),
        *_landing_reasons(landing, ask),
        *_plan_reasons(plan, criteria, ask),
    )
    findings = (
        *wall_finding(criteria, wall, answer, ask.member),
        *landing.findings,
        *size_findings(criteria, ask.member, ask.size, ask.joist_size, lumber),
        *plan.findings,
        *ties.findings,
    )
    return LedgerResult(
        possible=_verdict(answer, reasons, findings),
        ledger=_ledger(wall, ask, board, landing, lumber, plan, ties),
        lands_on=landing.kind,
        reasons=reasons,
        cautions=(*_cautions(wall, landing, answer), *ties.cautions),
        findings=findings,
        stacked_washers=plan.washers,
    )


def _landing(wall: WallBehind, criteria: Criteria, ask: LedgerAsk, board: Board) -> Landing:
    if wall.wall not in BAND_WALLS:
        return Landing(wall.wall)
    return land(wall, board, criteria.rulebook, ask.member)


def _answer(wall: WallBehind, criteria: Criteria, landing: Landing) -> WallAnswer:
    """What the ledger bears on decides: the band, or the foundation it landed on."""
    if wall.wall in BAND_WALLS and (landing.kind is None or landing.kind in (wall.wall, *OUTSIDE)):
        return band_answer(criteria, wall)
    return answer_for(criteria, landing.kind or wall.wall)


def _no_wall(wall: WallBehind, criteria: Criteria, ask: LedgerAsk) -> LedgerResult:
    answer = answer_for(criteria, wall.wall)
    findings = wall_finding(criteria, wall, answer, ask.member)
    return LedgerResult(answer.possible, None, None, (), (), findings)


def _verdict(answer: WallAnswer, reasons: Sequence[Reason], findings: Sequence[Finding]) -> Status:
    statuses: list[Status] = [answer.possible]
    if any(reason.code != "ledger_outside_band" for reason in reasons):
        statuses.append("engineer_required")
    if not all(finding.passes for finding in findings):
        statuses.append("not_permitted")
    return worst(statuses)


def _plan(wall: WallBehind, criteria: Criteria, ask: LedgerAsk, answer: WallAnswer) -> FastenerPlan:
    if not answer.table_fasteners:
        return FastenerPlan(None, None)
    along_in = length_in(ask.start_ft, ask.end_ft)
    run = LedgerRun(along_in, wall.sheathing_thickness_in, ask.longest_piece_in)
    return plan_fasteners(criteria, ask.member, run, ask.first_span_in)


def _lateral_ask(wall: WallBehind, ask: LedgerAsk) -> LateralAsk:
    return LateralAsk(
        ask.member,
        ask.start_ft,
        ask.end_ft,
        ask.projection_ft,
        wall.floor_joist_direction,
        ask.joists_at_in,
        width_ft=ask.deck_width_ft,
    )


def _landing_reasons(landing: Landing, ask: LedgerAsk) -> tuple[Reason, ...]:
    if landing.missing:
        names = " and ".join(landing.missing)
        return (_reason("sill_height_missing", f"Without {names} no ledger can be proven", ask),)
    if landing.kind in OUTSIDE:
        text = f"The fastener rows of the ledger do not fit the band ({landing.kind})"
        return (_reason("ledger_outside_band", text, ask, landing.findings[0].citation),)
    if landing.remembered is not None:
        text = (
            f"Only a remembered distance stands in the way: the lower row is less than"
            f" {landing.remembered.value:g} in under the ledger's top"
        )
        return (_reason("memory_value_decides", text, ask, landing.remembered.citation),)
    return ()


def _plan_reasons(plan: FastenerPlan, criteria: Criteria, ask: LedgerAsk) -> tuple[Reason, ...]:
    if plan.spacing_in is not None or not plan.why:
        return ()
    if plan.item is None:
        return (_reason("sheathing_off_tables", plan.why, ask),)
    citation = plan.reading.citation if plan.reading else None
    return (_reason(_off_code(criteria), plan.why, ask, citation),)


def _off_code(criteria: Criteria) -> str:
    if criteria.table_load_psf is not None:
        return "size_or_spacing_off_tables"
    lightest = criteria.rulebook.tables["ledger_fasteners"].printed_values("load_psf")[0]
    return "live_load_above_tables" if criteria.live_psf > lightest else "snow_above_tables"


def _reason(code: str, text: str, ask: LedgerAsk, citation: Citation | None = None) -> Reason:
    return Reason(code=code, text=text, member=ask.member, citation=citation)


FLASHING = Caution(
    code="ledger_flashing",
    text="Water behind a ledger rots the band that holds it",
    action="Cut the cladding away, flash behind and over the ledger, and have it looked at before it is covered",
)
BELOW_BAND = Caution(
    code="ledger_below_band",
    text="The ledger lands wholly on the foundation wall, so there is a step down at the door",
    action="Raise the deck to land on the band, or have the anchors designed and plan the step at the door",
)


def _cautions(wall: WallBehind, landing: Landing, answer: WallAnswer) -> tuple[Caution, ...]:
    below = (BELOW_BAND,) if wall.wall in BAND_WALLS and landing.kind == wall.foundation_wall else ()
    return (FLASHING, *below, *answer.cautions)


def _ledger(
    wall: WallBehind,
    ask: LedgerAsk,
    board: Board,
    landing: Landing,
    lumber: LedgerLumber,
    plan: FastenerPlan,
    ties: LateralTies,
) -> Ledger:
    band = band_of(wall) if wall.wall in BAND_WALLS else None
    return Ledger(
        id=ask.member,
        mark=ask.mark,
        edge=ask.edge,
        size=ask.size,
        species=lumber.species,
        grade=lumber.grade,
        start_ft=ask.start_ft,
        end_ft=ask.end_ft,
        lands_on=landing.kind or wall.wall,
        sheathing_thickness_in=wall.sheathing_thickness_in,
        fastener=plan.item or DESIGNED,
        spacing_in=plan.spacing_in,
        row_heights_in=landing.rows_in or (),
        fastener_count=len(plan.places),
        lateral_devices=ties.devices,
        top_height_in=board.top_in,
        bottom_height_in=board.bottom_in,
        band_top_height_in=band.top_in if band else None,
        band_bottom_height_in=band.bottom_in if band else None,
    )
