"""What the answer says of itself: checks for every member, and a verdict they bear out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from properties.referee_answer import Answer

from service.contract.report_frame import JoistLine

SLIGHTLY_OVER = 1.15
SLACK_IN = 0.001
Wrong = Iterator[str]


def prescriptive_means_every_check_passes(answer: Answer) -> Wrong:
    """But for a calculation a little over its capacity beside a table that permits, which is told as a caution."""
    if answer.status != "prescriptive":
        if answer.status is not None and not answer.reasons:
            yield f"the verdict is {answer.status} and gives no reason"
        return
    if answer.reasons:
        yield f"the verdict is prescriptive and gives reasons {answer.reasons}"
    permitted = {c.member for c in answer.checks if c.basis == "table" and c.passes}
    told = "table_permits_calculation_does_not" in answer.cautions
    for check in answer.checks:
        slightly = (
            check.basis == "calculated" and check.member in permitted and (check.ratio or 9) <= SLIGHTLY_OVER
        )
        if not check.passes and not (slightly and told):
            yield f"{check.id} fails, and the verdict is prescriptive"


def passing_means_within(answer: Answer) -> Wrong:
    """A check passes exactly where its figures say so."""
    for check in answer.checks:
        if check.demand is None or check.capacity is None:
            continue
        slack = SLACK_IN + 1e-3 * abs(check.capacity)
        over = check.demand - check.capacity if check.sense == "at_most" else check.capacity - check.demand
        if (check.passes and over > slack) or (not check.passes and over < -slack):
            yield f"{check.id}: {check.demand:g} against {check.capacity:g}, passes: {check.passes}"


def every_member_is_checked(answer: Answer) -> Wrong:
    """Joists, beams, posts, ledgers and footings each have their own check, of a length that is drawn."""
    found: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for check in answer.checks:
        found[check.member][check.check].append(check.demand or 0.0)
    for member, names, drawn in _needed(answer):
        looked_at = [demand for name in names for demand in found[member][name]]
        if not looked_at:
            yield f"{member} has none of the checks {names}"
        elif drawn and not all(any(abs(a - b) <= SLACK_IN for b in drawn) for a in looked_at):
            yield f"{names[0]} of {member} looks at {looked_at}, drawn are {sorted(drawn)}"


def _needed(answer: Answer) -> Iterator[tuple[str, tuple[str, ...], set[float]]]:
    """Members, the checks of which each has one at least, and the lengths they may be of (empty: any)."""
    for level in answer.levels:
        for group in level.joists:
            yield group.id, ("joist_span",), {span for line in group.lines for span in line.spans_in}
            over = {reach for line in group.lines for reach in _reaches(line)} - {0.0}
            if over:
                yield group.id, ("joist_cantilever",), over
            yield group.id, ("joist_spacing_for_decking",), {group.spacing_in}
        for beam in level.beams:
            yield beam.id, ("beam_span",), set(beam.spans_in)
            yield beam.id, ("beam_overhang",), {beam.overhang_start_in, beam.overhang_end_in}
        for ledger in level.ledgers:
            yield ledger.id, ("ledger_wall", "ledger_size"), set()
    for post in answer.posts:
        yield post.id, ("post_height",), {post.height_in}
    for footing in answer.footings:
        yield footing.id, ("footing_size", "pile_capacity"), set()


def _reaches(line: JoistLine) -> tuple[float, float]:
    return (line.cantilever_house_in, line.cantilever_yard_in)


def without_a_frame_nothing_stands(answer: Answer) -> Wrong:
    """Either every level is framed or none is, and a deck without a frame is not prescriptive."""
    bare = [level.id for level in answer.levels if not level.joists]
    if not bare:
        return
    members = [
        m for level in answer.levels for m in (*level.joists, *level.beams, *level.rims, *level.ledgers)
    ]
    if members or answer.posts or answer.footings:
        yield f"{bare} have no joists, and yet there are {len(members)} members and {len(answer.posts)} posts"
    if answer.status == "prescriptive":
        yield f"{bare} have no frame, and the verdict is prescriptive"


def framed_means_every_kind_of_member(answer: Answer) -> Wrong:
    """A frame has beams and footings."""
    if answer.framed and not all(level.beams for level in answer.levels):
        yield "there are joists and no beams"
    if answer.framed and not answer.footings and "method_not_worked_out" not in answer.reasons:
        yield "there are joists and no footings"
