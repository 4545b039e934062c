"""The verdict: what the findings and reasons add up to."""

from __future__ import annotations

from collections.abc import Sequence

from service.checks.judged import Judged
from service.contract.report import Reason, Status, Verdict
from service.units.finding import Finding

# Everything that forbids; any other reason asks for an engineer.
FORBIDDING = frozenset(
    {
        "setback", "ledger_on_veneer", "ledger_on_hollow_block", "ledger_on_overhang", "ledger_outside_band",
        "check_failed", "no_frame_found", "guard_omitted", "method_not_allowed_here", "footing_above_frost",
    }
)  # fmt: skip
# A failed check with a reason of its own is not reported a second time as check_failed.
SPEAKS_FOR = {
    "setback": {"setback"},
    "ledger_on_veneer": {"ledger_wall"},
    "ledger_on_hollow_block": {"ledger_wall"},
    "ledger_on_overhang": {"ledger_wall"},
    "ledger_outside_band": {"ledger_in_band", "ledger_fastener_rows"},
    "ledger_on_unknown_wall": {"ledger_wall", "ledger_in_band"},
    "wall_needs_designed_anchors": {"ledger_wall", "ledger_in_band", "ledger_fastener_rows"},
    "memory_value_decides": {
        "ledger_in_band",
        "ledger_fastener_rows",
        "stringer_spacing",
        "stringer_throat",
        "guard_post_spacing",
    },
    "size_or_spacing_off_tables": {"stringer_span", "guard_rim_size"},
    "sheathing_off_tables": {"ledger_fastener_spacing"},
    "guard_omitted": {"guard_required"},
    "footing_above_frost": {"footing_below_frost"},
    "ground_not_undisturbed": {"footing_in_undisturbed_ground"},
    "house_load_line": {"footing_house_load_line"},
    "pile_policy_needs_engineer": {"pile_depth"},
    "guard_connector_unproven": {"guard_post_moment"},
    "tall_freestanding": {"sway", "brace_required"},
}


def _failed(finding: Finding) -> Reason:
    text = f"{finding.check.replace('_', ' ')} of {finding.member} does not pass"
    if finding.demand is not None and finding.capacity is not None:
        text += f": {finding.demand:.6g} against {finding.capacity:.6g} {finding.unit or ''}".rstrip()
    if finding.would_pass:
        text += f"; would pass: {finding.would_pass}"
    return Reason(code="check_failed", text=f"{text}.", member=finding.member, citation=finding.citation)


def _calculated(finding: Finding, limit: float) -> Reason | None:
    if finding.ratio is None or finding.ratio <= limit:
        return None
    text = f"{finding.check.replace('_', ' ')} of {finding.member} by calculation is {finding.ratio:.2f} of capacity"
    return Reason(
        code="calculation_exceeds_table", text=f"{text}.", member=finding.member, citation=finding.citation
    )


def _spoken_for(reasons: Sequence[Reason]) -> dict[str, set[str | None]]:
    out: dict[str, set[str | None]] = {}
    for given in reasons:
        for check in SPEAKS_FOR.get(given.code, ()):
            out.setdefault(check, set()).add(given.member)
    return out


def _of_finding(finding: Finding, spoken: dict[str, set[str | None]], limit: float) -> Reason | None:
    members = spoken.get(finding.check, set())
    if finding.passes or None in members or finding.member in members:
        return None
    return _calculated(finding, limit) if finding.basis == "calculated" else _failed(finding)


def _status(reasons: Sequence[Reason]) -> Status:
    if any(r.code in FORBIDDING for r in reasons):
        return "not_permitted"
    return "engineer_required" if reasons else "prescriptive"


def verdict(judged: Judged, calculated_limit: float) -> Verdict:
    """Return the verdict: ``not_permitted`` before ``engineer_required`` before ``prescriptive``.

    A failing table or rule check forbids, unless a reason already speaks for it; a calculated one asks for an
    engineer when it is over ``calculated_limit``.

    >>> verdict(Judged(), 1.15).status
    'prescriptive'
    """
    given = [r for r in judged.reasons if r.code != "check_failed"]  # said below, with what would pass
    spoken = _spoken_for(given)
    found = (_of_finding(f, spoken, calculated_limit) for f in judged.findings)
    reasons = [*given, *(r for r in found if r is not None)]
    unique = list({(r.code, r.member, r.text): r for r in reasons}.values())
    return Verdict(status=_status(unique), reasons=tuple(unique))


STATUS_ORDER = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
