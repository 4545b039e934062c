"""The verdict: what the findings and reasons add up to."""

from __future__ import annotations

from collections.abc import Sequence

from service.checks.judged import Judged, caution
from service.contract.report import Caution, Reason, Verdict
from service.contract.report_comparison import Status
from service.units.finding import Finding

# Everything that forbids; any other reason asks for an engineer.
FORBIDDING = frozenset(
    {
        "setback", "ledger_on_veneer", "ledger_on_hollow_block", "ledger_on_overhang", "ledger_outside_band",
        "check_failed", "no_frame_found", "guard_omitted", "method_not_allowed_here", "footing_above_frost",
        "stair_blocked",
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
    "guard_corner_open": {"guard_opening"},
    "opening_under_level": {"guard_opening"},
    "heavy_object": {"joist_bending", "joist_shear", "joist_bearing", "joist_deflection"},
    "tall_freestanding": {"sway", "brace_required"},
    "stair_foot_on_level": {"stair_foot_on_level"},
}


# The table check that already permits what a calculated check looks at again.
TWINS = {
    **dict.fromkeys(("joist_bending", "joist_shear", "joist_bearing", "joist_deflection"), "joist_span"),
    "joist_cantilever_tip_load": "joist_cantilever",
    **dict.fromkeys(("beam_bending", "beam_shear", "beam_bearing_on_post", "beam_deflection"), "beam_span"),
    "post_compression": "post_height",
}
# A check that fails only by what was remembered, or by a habit, is for an engineer to settle.
WEAK = {
    "memory": "a remembered figure",
    "common_practice": "common practice",
    "own_convention": "our convention",
}


def _shown(finding: Finding) -> str:
    if finding.demand is None or finding.capacity is None:
        return ""
    return f": {finding.demand:.6g} against {finding.capacity:.6g} {finding.unit or ''}".rstrip()


def _failed(finding: Finding) -> Reason:
    name = finding.check.replace("_", " ")
    advice = f"; would pass: {finding.would_pass}" if finding.would_pass else ""
    weak = WEAK.get(finding.citation.status)
    code = "memory_value_decides" if weak else "check_failed"
    rests = f" (it rests on {weak})" if weak else ""
    text = f"{name} of {finding.member} does not pass{_shown(finding)}{rests}{advice}."
    return Reason(code=code, text=text, member=finding.member, citation=finding.citation)


def _permitted_by_table(finding: Finding, findings: Sequence[Finding]) -> bool:
    twin = TWINS.get(finding.check, finding.check)
    return any(
        f.basis == "table" and f.passes and f.member == finding.member and f.check == twin for f in findings
    )


def _over_table(finding: Finding, limit: float) -> Reason | None:
    """The table permits it: a calculation that puts it slightly over is a caution, far over an engineer's."""
    if finding.ratio is not None and finding.ratio <= limit:
        return None
    text = f"{finding.check.replace('_', ' ')} of {finding.member} by calculation is over capacity{_shown(finding)}"
    return Reason(
        code="calculation_exceeds_table", text=f"{text}.", member=finding.member, citation=finding.citation
    )


def slightly_over(judged: Judged, limit: float) -> tuple[Caution, ...]:
    """Return a caution, with both figures, for each calculated check over 1 that its table permits."""
    return tuple(
        caution(
            "table_permits_calculation_does_not",
            f"The table permits {f.member}; by calculation its {f.check.replace('_', ' ')} is {f.ratio:.2f} of "
            f"capacity{_shown(f)}.",
            "Take the next size up if it costs little.",
        )
        for f in judged.findings
        if f.basis == "calculated"
        and f.ratio is not None
        and 1 < f.ratio <= limit
        and not f.passes
        and _permitted_by_table(f, judged.findings)
    )


def _spoken_for(reasons: Sequence[Reason]) -> dict[str, set[str | None]]:
    out: dict[str, set[str | None]] = {}
    for given in reasons:
        for check in SPEAKS_FOR.get(given.code, ()):
            out.setdefault(check, set()).add(given.member)
    return out


def _of_finding(
    finding: Finding, findings: Sequence[Finding], spoken: dict[str, set[str | None]], limit: float
) -> Reason | None:
    members = spoken.get(finding.check, set())
    if finding.passes or None in members or finding.member in members:
        return None
    if finding.basis == "calculated" and _permitted_by_table(finding, findings):
        return _over_table(finding, limit)
    return _failed(finding)


def _status(reasons: Sequence[Reason]) -> Status:
    if any(r.code in FORBIDDING for r in reasons):
        return "not_permitted"
    return "engineer_required" if reasons else "prescriptive"


def verdict(judged: Judged, calculated_limit: float) -> Verdict:
    """Return the verdict: ``not_permitted`` before ``engineer_required`` before ``prescriptive``.

    A failing check forbids, unless a reason already speaks for it; one that rests on memory or habit asks for
    an engineer. Where a table permits the member, a calculated check asks for one over ``calculated_limit``.

    >>> verdict(Judged(), 1.15).status
    'prescriptive'
    """
    given = [r for r in judged.reasons if r.code != "check_failed"]  # said below, with what would pass
    spoken = _spoken_for(given)
    found = (_of_finding(f, judged.findings, spoken, calculated_limit) for f in judged.findings)
    reasons = [*given, *(r for r in found if r is not None)]
    unique = list({(r.code, r.member, r.text): r for r in reasons}.values())
    return Verdict(status=_status(unique), reasons=tuple(unique))
