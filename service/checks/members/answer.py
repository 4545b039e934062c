"""From a member check asked for to its answer: both sides, the verdict, the cautions."""

from __future__ import annotations

import datetime as dt
from typing import assert_never

from service.checks.cautions import ALWAYS, unique
from service.checks.judged import Judged
from service.checks.members.beam import check_beam
from service.checks.members.deck import deck_of
from service.checks.members.footing import check_footing
from service.checks.members.guard_post import check_guard_post
from service.checks.members.joist import check_joist
from service.checks.members.judging import beyond_the_table
from service.checks.members.ledger import check_ledger
from service.checks.members.post import check_post
from service.checks.members.sides import Worked
from service.checks.site import judge_site, loads_of
from service.checks.verdict import slightly_over, verdict
from service.contract.choices import MemberKind
from service.contract.member_checks import (
    BeamCheckSpec,
    FootingCheckSpec,
    GuardPostCheckSpec,
    JoistCheckSpec,
    LedgerCheckSpec,
    MemberCheckRequest,
    PostCheckSpec,
)
from service.contract.member_checks_answer import MemberCheck
from service.contract.report import AmendmentRef, Caution, JurisdictionRef, RulebookRef, Verdict
from service.rules.jurisdiction import Jurisdiction
from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria
from service.sizing.resolve import criteria_of, resolve_spec
from service.timber.values import TimberData
from service.units.citation import Citation
from service.units.finding import numbered
from service.units.rounding import rounded

KINDS: dict[type[MemberCheckRequest], MemberKind] = {
    JoistCheckSpec: "joist",
    BeamCheckSpec: "beam",
    PostCheckSpec: "post",
    FootingCheckSpec: "footing",
    LedgerCheckSpec: "ledger",
    GuardPostCheckSpec: "guard_post",
}
# What a site says that does not touch a kind: only a footing meets the soil, and a guard post no other load.
OF_THE_SOIL = frozenset({"soil_needs_engineer", "soil_value_from_caller", "call_before_you_dig"})
OF_LOADS = frozenset(
    {
        "material_not_in_rulebook",
        "live_load_above_tables", "snow_above_tables", "dead_load_above_tables", "site_value_below_jurisdiction",
        "wind_or_seismic_beyond_range",
    }
)  # fmt: skip


def work_out(spec: MemberCheckRequest, criteria: Criteria, data: TimberData) -> Worked:
    """Return a member of any kind worked out on both sides."""
    match spec:
        case JoistCheckSpec():
            return check_joist(spec, criteria, data)
        case BeamCheckSpec():
            return check_beam(spec, criteria, data)
        case PostCheckSpec():
            return check_post(spec, criteria, data)
        case FootingCheckSpec():
            return check_footing(spec, criteria)
        case LedgerCheckSpec():
            return check_ledger(spec, criteria, data)
        case GuardPostCheckSpec():
            return check_guard_post(spec, criteria)
    assert_never(spec)


def check_member(
    spec: MemberCheckRequest,
    rulebook: Rulebook,
    guide: Rulebook,
    place: Jurisdiction | None,
    timber: TimberData,
    as_of: dt.date,
    in_force: str | None,
) -> MemberCheck:
    """Return one member by table and by calculation, rounded once.

    ``rulebook`` is already amended for ``place``; ``in_force`` is the rulebook in force there on ``as_of``.
    """
    resolved = resolve_spec(deck_of(spec), rulebook, place, None, as_of)
    criteria = criteria_of(resolved, rulebook, guide, place, timber)
    worked = work_out(spec, criteria, timber)
    kind = KINDS[type(spec)]
    site = _touching(kind, judge_site(resolved, criteria, in_force))
    return rounded(
        MemberCheck(
            kind=kind,
            as_of=as_of.isoformat(),
            rulebook=_ref(rulebook),
            jurisdiction=_place(place),
            amendments=_amendments(rulebook),
            loads=None if kind == "guard_post" else loads_of(criteria),
            allowable=worked.allowable,
            governing=worked.governing,
            table=worked.table,
            calculated=worked.calculated,
            checks=tuple(numbered(worked.judged.findings)),
            verdict=_verdict(worked, site, criteria),
            cautions=_cautions(worked, site, criteria),
        )
    )


def _touching(kind: MemberKind, site: Judged) -> Judged:
    """What a site says of a member of this kind, with what is true of every answer."""
    apart = (OF_THE_SOIL if kind != "footing" else frozenset()) | (
        OF_LOADS if kind == "guard_post" else frozenset()
    )
    return Judged(
        (),
        tuple(one for one in site.reasons if one.code not in apart),
        tuple(one for one in (*site.cautions, *ALWAYS) if one.code not in apart),
    )


def _verdict(worked: Worked, site: Judged, criteria: Criteria) -> Verdict | None:
    if not worked.asked:
        return None
    findings, better = beyond_the_table(worked.judged.findings, criteria)
    judged = Judged(findings, (*site.reasons, *worked.judged.reasons, *better))
    return verdict(judged, criteria.rulebook.in_force_settings.calculated_engineer_ratio)


def _cautions(worked: Worked, site: Judged, criteria: Criteria) -> tuple[Caution, ...]:
    over = slightly_over(worked.judged, criteria.rulebook.in_force_settings.calculated_engineer_ratio)
    return unique((*worked.judged.cautions, *over, *site.cautions))


def _ref(book: Rulebook) -> RulebookRef:
    return RulebookRef(id=book.id, edition=book.edition, version=book.version, digest=book.digest)


def _place(place: Jurisdiction | None) -> JurisdictionRef | None:
    if place is None:
        return None
    return JurisdictionRef(id=place.id, version=place.version, digest=place.digest)


def _amendments(book: Rulebook) -> tuple[AmendmentRef, ...]:
    return tuple(
        AmendmentRef(
            id=one.id, title=one.title, citation=Citation(document=one.document, section=one.section)
        )
        for one in {told.id: told for told in book.amendments}.values()
    )
