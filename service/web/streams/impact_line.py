"""One spec, and what another version of its rulebook changes of it."""

from __future__ import annotations

from service.contract.ids import pinned_text
from service.contract.stream import RuleImpactResult
from service.impact.compare import is_change, rule_impact
from service.web.desk import Desk
from service.web.resolve import context_of, read_spec
from service.web.streams.messages import Call


def impact_line(number: int, text: bytes, call: Call, desk: Desk) -> RuleImpactResult:
    """Return the answer to a spec; both versions among the options are pinned, and there.

    Raises:
        Rejected: as a call with this spec alone would be
    """
    spec = read_spec(text, desk, call.caller)
    context = context_of(spec, desk, call.caller)
    own = context.rulebook
    before, after = (desk.snapshot.rulebook(call.options[name], context.as_of) for name in ("from", "to"))
    impact = None
    if own.id == before.id:
        place = context.jurisdiction
        impact = rule_impact(spec, context, desk.amended(before, place), desk.amended(after, place))
    return RuleImpactResult(
        line=number,
        reference=spec.reference,
        designed_by=pinned_text(own.id, own.version),
        applies=impact is not None,
        changed=impact is not None and is_change(impact),
        impact=impact,
    )
