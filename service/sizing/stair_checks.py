"""Checks of a stair against the code's own limits and the guide's stringer rules."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from service.contract.report import Reason
from service.contract.report_frame import Flight
from service.sizing.stair_limits import Figure, StairRules, figure
from service.sizing.stairs import SAME, Stringer, StringerRow
from service.units.citation import Citation
from service.units.finding import Finding, at_least, at_most, yes_no
from service.units.text import feet_inches
from service.units.working import Step, step

# Limits the code does not have: failing one leaves the tables, it does not break the code.
GUIDE_CHECKS = {
    "stringer_span": "size_or_spacing_off_tables",
    "stringer_spacing": "memory_value_decides",
    "stringer_throat": "memory_value_decides",
    "guard_post_spacing": "memory_value_decides",
    "guard_rim_size": "size_or_spacing_off_tables",
}
STRINGERS_LIVE_PSF = 40.0  # AWC DCA 6: the live load its stringer spans, like all of it, are drawn up for


def or_else(finding: Finding, would_pass: str) -> Finding:
    """Return a check, in its own unit, with what would pass where it fails.

    Source: none of its own; the check carries its citation.

    Args:
        finding: the check.
        would_pass: what would pass, in words.
    """
    return finding if finding.passes else msgspec.structs.replace(finding, would_pass=would_pass)


def _most(member: str, check: str, demand: float, limit: Figure, working: Sequence[Step] = ()) -> Finding:
    found = at_most(
        member, check, "rule", demand, limit.value, "in", limit.citation, (*working, *limit.steps)
    )
    return or_else(found, f"{feet_inches(limit.value)} or less")


def _least(member: str, check: str, given: float, limit: Figure, working: Sequence[Step] = ()) -> Finding:
    found = at_least(
        member, check, "rule", given, limit.value, "in", limit.citation, (*working, *limit.steps)
    )
    return or_else(found, f"{feet_inches(limit.value)} or more")


def worst_pair(risers_in: Sequence[float]) -> tuple[int, int] | None:
    """Return the two risers (numbered from 1, bottom up) that differ most, in; None where all are alike.

    Source: IRC riser height rule: the tallest against the shortest of a flight.

    Args:
        risers_in: riser heights from the bottom, in.

    >>> worst_pair((7.25, 7.75, 7.5)), worst_pair((7.0,))
    ((1, 2), None)
    """
    if len(risers_in) < 2 or max(risers_in) == min(risers_in):
        return None
    tallest, shortest = risers_in.index(max(risers_in)), risers_in.index(min(risers_in))
    return min(tallest, shortest) + 1, max(tallest, shortest) + 1


def riser_findings(member: str, risers_in: Sequence[float], rules: StairRules) -> list[Finding]:
    """Return the checks of riser height and of their likeness in one flight, in.

    Source: IRC stairways section, riser height, by edition as cited.

    Args:
        member: id of the stair.
        risers_in: risers of one flight from the bottom, in.
        rules: code and guide.
    """
    tallest = _most(member, "riser_height", max(risers_in), figure(rules.code, "riser_height"))
    spread = max(risers_in) - min(risers_in)
    steps = (
        step("tallest", max(risers_in), "in", "riser of the flight"),
        step("shortest", min(risers_in), "in", "riser of the flight"),
    )
    return [tallest, _most(member, "riser_uniformity", spread, figure(rules.code, "riser_variation"), steps)]


def tread_finding(member: str, tread_in: float, rules: StairRules) -> Finding:
    """Return the check of tread depth, in, with the nosing a tread that shallow needs.

    Source: IRC stairways section, tread depth and nosings, by edition as cited.

    Args:
        member: id of the stair.
        tread_in: tread depth, in.
        rules: code and guide.
    """
    steps: tuple[Step, ...] = ()
    if nosing_needed(tread_in, rules):
        least = figure(rules.code, "nosing_projection_min").value
        most = figure(rules.code, "nosing_projection_max").value
        steps = (
            step("nosing_min", least, "in", "treads this shallow need a nosing at least this long"),
            step("nosing_max", most, "in", "and at most this long"),
        )
    return _least(member, "tread_depth", tread_in, figure(rules.code, "tread_depth"), steps)


def nosing_needed(tread_in: float, rules: StairRules) -> bool:
    """Return whether a tread of this depth, in, needs a nosing.

    Source: IRC stairways section, nosings.

    Args:
        tread_in: tread depth, in.
        rules: code and guide.
    """
    return tread_in < figure(rules.code, "nosing_not_required_tread_depth").value - SAME


def width_finding(member: str, width_in: float, rules: StairRules) -> Finding:
    """Return the check of clear width, in.

    Source: IRC stairways section, width.

    Args:
        member: id of the stair.
        width_in: clear width, in.
        rules: code and guide.
    """
    return _least(member, "stair_width", width_in, figure(rules.code, "stair_width"))


def flight_finding(member: str, flight: Flight, rules: StairRules) -> Finding:
    """Return the check of the rise of one flight between landings, in.

    Source: IRC stairways section, vertical rise.

    Args:
        member: id of the stair.
        flight: the flight.
        rules: code and guide.
    """
    steps = (
        step("n", flight.risers, None, "risers of the flight"),
        step("r", flight.riser_in, "in", "riser"),
    )
    limit = figure(rules.code, "flight_rise")
    return _most(member, "flight_rise", flight.risers * flight.riser_in, limit, steps)


def stringer_findings(
    member: str, stringer: Stringer, row: StringerRow, riser_in: float, tread_in: float, rules: StairRules
) -> list[Finding]:
    """Return the checks of span, spacing and throat of a flight's stringers, in.

    Source: AWC DCA 6; composite spacing is common practice, no source.

    Args:
        member: id of the stair.
        stringer: kind and bays.
        row: count and spacing.
        riser_in: riser, in.
        tread_in: tread, in.
        rules: code and guide.
    """
    found = [_span(member, stringer, rules), _spacing(member, row, rules)]
    if stringer.throat_in is not None:
        steps = (
            step("r", riser_in, "in", "riser"),
            step("t", tread_in, "in", "tread"),
            step("throat", stringer.throat_in, "in", "11.25 - r t / sqrt(r^2 + t^2)"),
        )
        throat = figure(rules.guide, "guide_cut_stringer_throat")
        finding = _least(member, "stringer_throat", stringer.throat_in, throat, steps)
        found.append(or_else(finding, "solid stringers"))
    return found


def _span(member: str, stringer: Stringer, rules: StairRules) -> Finding:
    """The span by the guide, or the load its spans are not for."""
    live = figure(rules.code, "stair_live_load")
    if live.value > STRINGERS_LIVE_PSF:
        found = at_most(
            member, "stringer_span", "rule", live.value, STRINGERS_LIVE_PSF, "psf", live.citation, live.steps
        )
        return or_else(found, "stringers an engineer designs: the guide's spans are for 40 psf live")
    limit = figure(rules.guide, f"guide_{stringer.kind}_stringer_span")
    steps = (step("bays", stringer.bays, None, "bays between header, mid supports and foot"),)
    return _most(member, "stringer_span", stringer.span_in, limit, steps)


def _spacing(member: str, row: StringerRow, rules: StairRules) -> Finding:
    limit = figure(rules.guide, "guide_stringer_spacing")
    steps: tuple[Step, ...] = ()
    if row.limit_in < limit.value:
        label = "composite treads, common practice, no source: their label governs"
        steps = (step("s_label", row.limit_in, "in", label),)
        limit = Figure(row.limit_in, Citation("common practice, no source", status="common_practice"), steps)
        return _most(member, "stringer_spacing", row.spacing_in, limit)
    return _most(member, "stringer_spacing", row.spacing_in, limit)


def handrail_needed(risers: int, rules: StairRules) -> bool:
    """Return whether a flight of so many risers (a count, no unit) needs a handrail.

    Source: IRC stairways section, handrails.

    Args:
        risers: risers of the flight.
        rules: code and guide.
    """
    return risers >= figure(rules.code, "handrail_required_risers").value


def handrail_height_in(rules: StairRules) -> float:
    """Return the height a handrail is drawn at, in: midway between the code's least and most.

    Source: IRC handrail height; the middle is a convention of this service.

    Args:
        rules: code and guide.
    """
    low, high = (figure(rules.code, f"handrail_height_{end}").value for end in ("min", "max"))
    return (low + high) / 2


def handrail_findings(member: str, risers: int, rules: StairRules) -> list[Finding]:
    """Return the checks of whether a handrail is needed and, where it is, of its height, in.

    Source: IRC stairways section, handrails, by edition as cited.

    Args:
        member: id of the stair.
        risers: risers of the longest flight.
        rules: code and guide.
    """
    threshold = figure(rules.code, "handrail_required_risers")
    needed = handrail_needed(risers, rules)
    answer = "needed, and given" if needed else "not needed"
    steps = (step("n", risers, None, f"risers of the longest flight: {answer}"), *threshold.steps)
    found = [yes_no(member, "handrail_required", "rule", True, threshold.citation, steps)]
    if needed:
        height = handrail_height_in(rules)
        found.append(_least(member, "handrail_height", height, figure(rules.code, "handrail_height_min")))
        found.append(_most(member, "handrail_height", height, figure(rules.code, "handrail_height_max")))
    return found


def landing_finding(member: str, depth_in: float, rules: StairRules) -> Finding:
    """Return the check of a landing's depth in the direction of travel, in.

    Source: IRC stairways section, landings.

    Args:
        member: id of the stair.
        depth_in: depth, in.
        rules: code and guide.
    """
    return _least(member, "stair_landing", depth_in, figure(rules.code, "landing_depth"))


def stair_guard_findings(member: str, drop_in: float, rules: StairRules) -> list[Finding]:
    """Return the checks of guards on a stair's open sides, in: needed, height, openings, open risers.

    Source: IRC guards section and the open-riser rule, by edition as cited.

    Args:
        member: id of the stair.
        drop_in: highest tread or landing above the ground beside it, in.
        rules: code and guide.
    """
    above = figure(rules.code, "guard_required_above")
    needed = drop_in > above.value + SAME
    answer = "guard needed, and given" if needed else "no guard needed"
    steps = (step("h", drop_in, "in", f"highest tread above the ground beside it: {answer}"), *above.steps)
    found = [yes_no(member, "guard_required", "rule", True, above.citation, steps)]
    if needed:
        least = figure(rules.code, "stair_guard_height")
        found.append(_least(member, "guard_height", handrail_height_in(rules), least))
        keys = ("stair_guard_opening_sphere", "stair_triangle_sphere", "open_riser_sphere")
        found += [_sphere(member, key, rules) for key in keys]
    return found


def landing_guard_findings(member: str, height_in: float, rules: StairRules) -> list[Finding]:
    """Return the checks of the guard on a landing's open sides, in: its height and openings, as a deck's.

    Source: IRC guards section, by edition as cited.

    Args:
        member: id of the landing.
        height_in: height of its guard, in.
        rules: code and guide.
    """
    least = figure(rules.code, "guard_height")
    return [
        _least(member, "guard_height", height_in, least),
        _sphere(member, "guard_opening_sphere", rules),
    ]


def _sphere(member: str, key: str, rules: StairRules) -> Finding:
    limit = figure(rules.code, key)
    steps = (step("sphere", limit.value, "in", "ordered so that a ball this wide cannot pass"), *limit.steps)
    return yes_no(member, "guard_opening", "rule", True, limit.citation, steps)


def reason_for(finding: Finding) -> Reason | None:
    """Return why a failed stair or guard check (in its own unit) worsens the verdict; None where it passed.

    Source: limits of the code fail as ``check_failed``; those the code lacks leave its tables.

    Args:
        finding: the check.
    """
    if finding.passes:
        return None
    code = GUIDE_CHECKS.get(finding.check, "check_failed")
    words = finding.check.replace("_", " ")
    if finding.check == "stringer_span" and finding.unit == "psf":
        words += " is for less live load than the stair's"
    text = (
        f"{words}: {finding.demand:g} {finding.unit}, limit {finding.capacity:g}" if finding.unit else words
    )
    return Reason(code=code, text=text, member=finding.member, citation=finding.citation)


def reasons_of(findings: Sequence[Finding]) -> tuple[Reason, ...]:
    """Return the reasons of all failed checks, each in its own unit.

    Source: see ``reason_for``.

    Args:
        findings: the checks.
    """
    return tuple(reason for reason in map(reason_for, findings) if reason is not None)
