"""Post bases, caps, notches and saddles: how a beam sits on a post or straight on a pier."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import msgspec

from service.contract.ids import item
from service.rules.lookups import Reading
from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria
from service.sizing.lumber import PLY_IN, nominal, width_in
from service.units.finding import Finding, at_least
from service.units.working import step

SeatKind = Literal["cap", "notch", "saddle"]
SADDLE_BEARING_IN = 3.0
CHECK = "beam_bearing_on_post"
WIDER = "a 6x6 post with a cap, or fewer plies"


@dataclass(frozen=True)
class Seat:
    """How a beam sits: what kind, the item to order (null for a notch), and its checks."""

    kind: SeatKind
    item: str | None
    findings: tuple[Finding, ...]


def beam_width_in(size: str, plies: int) -> float:
    """Return the width of a beam, in.

    Source: 1.5 in a ply; solid sizes dressed.

    >>> beam_width_in("2x10", 3), beam_width_in("4x10", 1)
    (4.5, 3.5)
    """
    return PLY_IN * plies if nominal(size)[0] == 2 else width_in(size) * plies


def seat_width_in(post_size: str) -> float:
    """Return the widest side a post gives a beam, turned as it serves best, in.

    Source: dressed sizes, half an inch under nominal.

    >>> seat_width_in("4x4"), seat_width_in("4x6"), seat_width_in("8x8")
    (3.5, 5.5, 7.5)
    """
    return max(nominal(post_size)) - 0.5


def may_notch(post_size: str, beam_size: str, plies: int) -> bool:
    """Return whether a post may be notched for a beam: a 6x6 or larger, for two plies only (widths in in).

    Source: IRC Figure R507.5.1(2), from memory.

    >>> may_notch("6x6", "2x10", 2), may_notch("6x6", "2x10", 3), may_notch("4x4", "2x10", 2)
    (True, False, False)
    """
    return min(nominal(post_size)) >= 6 and nominal(beam_size)[0] == 2 and plies == 2


def base_item(post_size: str, coating: str) -> str:
    """Return the item code of a post base with a 1 in stand-off.

    Source: item grammar of this service.

    >>> base_item("6x6", "hot_dip_galvanized")
    'post_base.6x6.hot_dip_galvanized'
    """
    return item("post_base", post_size, coating)


def cap_item(post_size: str, beam_size: str, plies: int, coating: str) -> str:
    """Return the item code of a post cap for a beam of ``plies`` of 1.5 in, or of a solid size.

    Source: item grammar of this service.

    >>> cap_item("6x6", "2x10", 3, "hot_dip_galvanized")
    'post_cap.6x6.3ply.hot_dip_galvanized'
    >>> cap_item("4x4", "4x8", 1, "hot_dip_galvanized")
    'post_cap.4x4.4x_solid.hot_dip_galvanized'
    """
    return item("post_cap", post_size, _beam_word(beam_size, plies), coating)


def saddle_item(beam_size: str, plies: int, coating: str) -> str:
    """Return the item code of a saddle on a pier, 3 in of bearing.

    Source: item grammar of this service.

    >>> saddle_item("2x8", 2, "stainless_steel")
    'saddle.2ply.stainless_steel'
    """
    return item("saddle", _beam_word(beam_size, plies), coating)


def _beam_word(beam_size: str, plies: int) -> str:
    thickness = nominal(beam_size)[0]
    return f"{plies}ply" if thickness == 2 else f"{thickness}x_solid"


def bearing_rule(rulebook: Rulebook) -> Reading:
    """Return the rule that a beam bears on its post with every ply (bearing in in).

    Source: IRC R507.5.1 (2018, 2021); elsewhere R507.7.1 (2015) or R507.5.2 (2024), hardware sized for both.
    """
    each_ply = rulebook.limit("beam_ply_bearing")
    return each_ply if each_ply.rows else rulebook.limit("beam_to_post_connection")


def seat_on_post(
    criteria: Criteria, member: str, post_size: str, beam_size: str, plies: int, notch: bool = False
) -> Seat:
    """Return how a beam sits on a post: in a cap, or in a notch where wished.

    Source: IRC R507.5.1, every ply bears fully; notch from memory of Figure R507.5.1(2).

    Args:
        criteria: rules and coating.
        member: id of the beam.
        post_size: nominal post size.
        beam_size: nominal size of one ply, or of a solid beam.
        plies: plies of the beam.
        notch: a notched post is wished.
    """
    findings = [_width_finding(criteria, member, post_size, beam_size, plies)]
    if not notch:
        code = cap_item(post_size, beam_size, plies, criteria.coating)
        return Seat("cap", code, tuple(findings))
    findings.append(_notch_finding(criteria, member, post_size, beam_size, plies))
    return Seat("notch", None, tuple(findings))


def _width_finding(criteria: Criteria, member: str, post_size: str, beam_size: str, plies: int) -> Finding:
    rule = bearing_rule(criteria.rulebook)
    beam_in, post_in = beam_width_in(beam_size, plies), seat_width_in(post_size)
    steps = (
        step("beam_width", beam_in, "in", f"{plies} ply {beam_size}"),
        step("post_width", post_in, "in", f"dressed {post_size}"),
    )
    finding = at_least(member, CHECK, "rule", post_in, beam_in, "in", rule.citation, steps)
    if finding.passes:
        return finding
    return msgspec.structs.replace(finding, would_pass=WIDER)


def _notch_finding(criteria: Criteria, member: str, post_size: str, beam_size: str, plies: int) -> Finding:
    least = criteria.rulebook.limit("notched_post_wood_left")
    left_in = min(nominal(post_size)) - 0.5 - beam_width_in(beam_size, plies)
    least_in = float(least.text.split()[0]) if least.text else least.value or 0.0
    finding = at_least(member, CHECK, "rule", left_in, least_in, "in", least.citation, least.steps)
    allowed = may_notch(post_size, beam_size, plies)
    return msgspec.structs.replace(
        finding, passes=finding.passes and allowed, would_pass=None if allowed else "a post cap"
    )


def seat_on_pier(
    criteria: Criteria, member: str, beam_size: str, plies: int, bearing_in: float = SADDLE_BEARING_IN
) -> Seat:
    """Return how a beam sits straight on a pier: in a saddle, for the beam's full width.

    Source: IRC R507.5.1 (2015: R507.7), 3 in of bearing on concrete.

    Args:
        criteria: rules and coating.
        member: id of the beam.
        beam_size: nominal size of one ply, or of a solid beam.
        plies: plies of the beam.
        bearing_in: length of beam on the saddle, in.
    """
    rule = criteria.rulebook.limit("beam_bearing_on_concrete")
    least_in = rule.value or 0.0
    finding = at_least(member, CHECK, "rule", bearing_in, least_in, "in", rule.citation, rule.steps)
    return Seat("saddle", saddle_item(beam_size, plies, criteria.coating), (finding,))
