"""What each kind of wall answers to a ledger."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from service.connections.wall import WallBehind
from service.contract.report import Caution, Reason
from service.contract.report_comparison import Status
from service.rules.lookups import Reading
from service.sizing.criteria import Criteria
from service.units.citation import Citation
from service.units.finding import SLACK, Finding, yes_no
from service.units.working import word


@dataclass(frozen=True)
class WallAnswer:
    """What a wall allows: the best verdict, why, by which rule, and whether the fastener table covers it."""

    possible: Status
    code: str | None
    text: str
    citation: Citation | None
    table_fasteners: bool = False
    cautions: tuple[Caution, ...] = ()

    def reasons(self, member: str) -> tuple[Reason, ...]:
        """Return the reason against a plain yes, if there is one."""
        if self.code is None:
            return ()
        return (Reason(code=self.code, text=self.text, member=member, citation=self.citation),)


class _Fixed(NamedTuple):
    possible: Status
    code: str | None
    rule: str | None
    text: str


_ANCHORS: Status = "engineer_required"
_CONCRETE = _Fixed(
    _ANCHORS,
    "wall_needs_designed_anchors",
    None,
    "No table covers ledger anchors in this wall: they have to be designed",
)
_VENEER = _Fixed(
    "not_permitted", "ledger_on_veneer", "ledger_may_bear_on_veneer", "A ledger may not be carried by veneer"
)
_UNKNOWN = _Fixed(
    _ANCHORS,
    "ledger_on_unknown_wall",
    "attachment_not_verified",
    "What the ledger would hang on cannot be verified: the deck has to stand free",
)
FIXED: Mapping[str, _Fixed] = {
    "poured_concrete": _CONCRETE,
    "grouted_block": _CONCRETE,
    "rubble_stone": _CONCRETE,
    "brick_veneer": _VENEER,
    "stone_veneer": _VENEER,
    "hollow_block": _Fixed(
        "not_permitted",
        "ledger_on_hollow_block",
        "guide_ledger_on_hollow_masonry",
        "Hollow block does not hold ledger anchors",
    ),
    "floor_overhang": _Fixed(
        "not_permitted",
        "ledger_on_overhang",
        "guide_ledger_on_overhang",
        "A ledger may not hang on a floor that overhangs the wall, or on a bay",
    ),
    "manufactured_home": _UNKNOWN,
    "unknown": _UNKNOWN,
    "none": _Fixed("not_permitted", None, "attachment_not_verified", "There is no wall to hang a ledger on"),
}


def answer_for(criteria: Criteria, wall: str) -> WallAnswer:
    """Return what a wall without a band, or a foundation wall, answers (no unit).

    Source: IRC R507.9.1.1 (veneer), R507.8 (not verified); DCA 6 (hollow masonry, overhangs); anchors in
    concrete or grouted block have no table.

    Args:
        criteria: rules and guide.
        wall: the word of the wall or foundation wall.
    """
    fixed = FIXED[wall]
    return WallAnswer(fixed.possible, fixed.code, fixed.text, _cited(criteria, fixed.rule))


def _cited(criteria: Criteria, rule: str | None) -> Citation | None:
    if rule is None:
        return None
    book = criteria.guide if rule.startswith("guide_") else criteria.rulebook
    return book.limit(rule).citation


def band_answer(criteria: Criteria, wall: WallBehind) -> WallAnswer:
    """Return what a wood band or an engineered rim answers.

    Source: IRC R507.9.1.2 (2015: R507.2.2): sawn 2 in nominal; engineered 1 in by 9.5 in (2015, 2018), 1 in
    (2021 on).

    Args:
        criteria: rules and guide.
        wall: the wall, rim depth and thickness in in.
    """
    if wall.wall == "wood_band":
        cited = criteria.rulebook.limit("band_sawn_thickness").citation
        return WallAnswer("prescriptive", None, "a sawn band", cited, table_fasteners=True)
    rule = engineered_rule(criteria)
    if rim_covered(rule.text or rule.value, wall.rim_thickness_in, wall.rim_depth_in):
        return WallAnswer(
            "prescriptive", None, "an engineered rim", rule.citation, True, (_rim_caution(rule),)
        )
    text = "The engineered rim is smaller than the fastener table assumes: its maker's figures govern"
    return WallAnswer(
        "engineer_required", "engineered_rim_maker_governs", text, rule.citation, True, (_rim_caution(rule),)
    )


def engineered_rule(criteria: Criteria) -> Reading:
    """Return the edition's smallest engineered rim, in.

    Source: IRC R507.9.1.2 (2015: R507.2.2).
    """
    by_size = criteria.rulebook.limit("band_engineered_size")
    return by_size if by_size.rows else criteria.rulebook.limit("band_engineered_thickness")


def rim_covered(rule: str | float | None, thickness_in: float | None, depth_in: float | None) -> bool:
    """Return whether an engineered rim is at least the rule's; what was not measured is not held against it.

    Source: IRC R507.9.1.2 (2015: R507.2.2).

    Args:
        rule: thickness in in, or "thickness x depth" in in.
        thickness_in: of the rim, in; null: not measured.
        depth_in: of the rim, in; null: not measured.

    >>> rim_covered("1 x 9.5", None, 9.25), rim_covered("1 x 9.5", 1.125, 9.5), rim_covered(1.0, 0.875, 9.25)
    (False, True, False)
    """
    needed = [float(part) for part in str(rule).split(" x ")]
    given = (thickness_in, depth_in)
    return all(has is None or has >= need - SLACK for need, has in zip(needed, given, strict=False))


def _rim_caution(rule: Reading) -> Caution:
    least = rule.text or f"{rule.value:g}"
    return Caution(
        code="maker_listing_governs",
        text=f"The fastener table counts on an engineered rim of at least {least} in; edge distances and spacing"
        " in the rim maker's listing come before the table's",
        action="Read the rim board's stamp, measure its thickness, and follow its listing where it asks for more",
    )


def wall_finding(
    criteria: Criteria, wall: WallBehind, answer: WallAnswer, member: str
) -> tuple[Finding, ...]:
    """Return the check of the wall; none where no rule says yes or no and an engineer has to (no unit).

    Source: as the answer's citation.
    """
    if answer.possible == "engineer_required" or answer.citation is None:
        return ()
    passes = answer.possible == "prescriptive"
    steps = (word("wall", wall.wall, "caller"), word("rulebook", criteria.rulebook.id, "rules read"))
    return (yes_no(member, "ledger_wall", "rule", passes, answer.citation, steps),)
