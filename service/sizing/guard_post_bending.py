"""The bending of a guard post where the deck takes hold of it."""

from __future__ import annotations

from typing import Final

import msgspec

from service.sizing.calculated_result import Allowable, Bound, least
from service.sizing.calculated_species import members_of, on_deck
from service.sizing.criteria import Criteria
from service.sizing.guard_posts import BOLT_BELOW_TOP_IN
from service.sizing.stair_limits import StairRules, figure
from service.timber.adjust import Adjusted
from service.timber.members import bending_stress_psi
from service.timber.refusal import NoRule
from service.timber.sections import Section, section
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.finding import Finding, at_most, yes_no
from service.units.working import Step, step, word

POST_SIZE: Final = "4x4"  # common practice, no source
# Nobody leans on a guard for longer than minutes: common practice, no source.
DURATION: Final = "ten_minutes"
GRADE: Final = "no_2"  # better grades only carry more
ALONE: Final = "NDS 4.3.9: a single member"
DEEPER: Final = "6x6 guard posts"
CITED: Final = Citation(
    "NDS", edition="2018", section="3.3 and 4.3; CD 1.6 for a person's push", status="common_practice"
)


def bending_arm_in(mount: str, guard_height_in: float, decking_in: float) -> float:
    """Return the height of the load over where the post is bent most, in.

    Source: geometry: the upper bolt of a side mount, 2 in under the top of its member; the foot of a surface mount.

    Args:
        mount: side or surface.
        guard_height_in: guard height over the boards, in.
        decking_in: board thickness, in.

    >>> bending_arm_in("side", 36, 1.0), bending_arm_in("surface", 36, 1.0)
    (39.0, 36)
    """
    return guard_height_in + decking_in + BOLT_BELOW_TOP_IN if mount == "side" else guard_height_in


def post_bending_value(data: TimberData, species: str, piece: Section) -> Allowable | NoRule:
    """Return the bending value Fb' of a guard post outdoors, psi.

    Source: NDS 4.3; wet service, CD 1.6 (common practice); CL 1.0, as deep as wide (NDS 3.3.3.1).

    Args:
        data: design values and factors.
        species: species or group; a group takes its weakest member.
        piece: the section, in.

    Returns:
        Fb', psi, or a refusal.

    >>> from service.timber.values import DesignValues, Factors
    >>> post_bending_value(TimberData(DesignValues({}), Factors({})), "teak", Section("4x4", 1, 3.5, 3.5)).why
    'no design values for species teak'
    """
    names = members_of(species)
    if isinstance(names, NoRule):
        return names
    values = [on_deck(data, one, GRADE, piece, DURATION, 1.0, ALONE) for one in names]
    refused = next((one for one in values if isinstance(one, NoRule)), None)
    return refused or least([_bound(one) for one in values if isinstance(one, Adjusted)], unit="psi")


def _bound(values: Adjusted) -> Bound:
    return Bound("bending", values.species, values.fb_psi, values.statuses["Fb"], values.steps["Fb"])


def bending_finding(
    member: str, mount: str, guard_height_in: float, decking_in: float, rules: StairRules, criteria: Criteria
) -> Finding | None:
    """Return the check of a 4x4 guard post's bending stress, psi; None without design values.

    Source: load IRC Table R301.5 as cited in the steps; NDS 3.3 and 4.3, wet service, CD 1.6 (common practice).

    Args:
        member: id of the guard.
        mount: side or surface.
        guard_height_in: guard height, in.
        decking_in: board thickness, in.
        rules: code and guide.
        criteria: species and design values.

    Limits: a whole post, not notched; bolt holes are not taken off.
    """
    piece, data = section(POST_SIZE), criteria.timber
    if data is None or isinstance(piece, NoRule):
        return None
    value = post_bending_value(data, criteria.species, piece)
    if isinstance(value, NoRule):
        because = (word("refused", value.why, "NDS 2018"),)
        return _advised(yes_no(member, "guard_post_bending", "calculated", False, CITED, because))
    load, arm = figure(rules.code, "guard_top_load"), bending_arm_in(mount, guard_height_in, decking_in)
    stress = bending_stress_psi(load.value * arm, piece)
    steps: tuple[Step, ...] = (
        *load.steps,
        step("a", arm, "in", "load over the upper bolt, or over the foot of a surface mount"),
        step("M", load.value * arm / 12, "lb_ft", "P a"),
        step("S", piece.modulus_in3, "in3", f"{POST_SIZE}, whole section"),
        *value.steps,
    )
    found = at_most(member, "guard_post_bending", "calculated", stress, value.value, "psi", CITED, steps)
    return _advised(found)


def _advised(finding: Finding) -> Finding:
    return finding if finding.passes else msgspec.structs.replace(finding, would_pass=DEEPER)
