"""POST /v1/member-checks: one member by table and by calculation, side by side."""

from __future__ import annotations

from typing import Any, cast

import msgspec
from litestar import Request, Response, post
from litestar.params import JSONBody

from service.checks.members import answer
from service.checks.members.deck import deck_of
from service.checks.members.footing import NEEDS_LENGTH
from service.contract.member_checks import FootingCheckSpec, MemberCheckRequest, MemberCheckSpec
from service.contract.member_checks_answer import MemberCheck
from service.contract.problem import Fault, Rejected, pointer
from service.rules.rulebook import Rulebook
from service.web.body import StrictJSON
from service.web.desk import Desk, GivenDesk
from service.web.negotiate import JSON, VARY, best_type
from service.web.resolve import context_of


@post(
    "/v1/member-checks",
    operation_id="checkMember",
    summary="Check one member by table and by calculation",
    tags=["designs"],
    dto=StrictJSON[MemberCheckSpec],
    return_dto=None,
    status_code=200,
)
async def check_member(
    data: JSONBody[MemberCheckSpec], request: Request[Any, Any, Any], desk: GivenDesk
) -> Response[MemberCheck]:
    """Tell what a joist, beam, post, footing, ledger or guard post may be, with every factor and its section.

    `table` and `calculated` stand side by side. A case no table or rule covers is a refusal with its reason in
    the answer, never an extrapolation; `allowable` is the limit that decides, null where there is none.
    """
    best_type(request, [JSON])
    body: Any = await desk.gate.run(_work, data, desk)
    return Response(body, media_type=JSON, headers=VARY)


def _work(spec: MemberCheckSpec, desk: Desk) -> bytes:
    # the reader gives one of the kinds; the base stands for them because the framework takes no union
    asked = cast("MemberCheckRequest", spec)
    context = context_of(deck_of(asked), desk)
    _refuse_unweighed(asked, context.rulebook)
    found = answer.check_member(
        asked,
        context.rulebook,
        context.guide,
        context.jurisdiction,
        context.timber,
        context.as_of,
        context.in_force,
    )
    return msgspec.json.encode(found)


def _refuse_unweighed(spec: MemberCheckRequest, rulebook: Rulebook) -> None:
    """Refuse a footing whose concrete the rules in force weigh and whose length is not given."""
    rule = rulebook.in_force_settings.own_weight_rule
    if isinstance(spec, FootingCheckSpec) and rule in NEEDS_LENGTH and spec.concrete_length_in is None:
        detail = f"needed to weigh the concrete by the rule in force, {rule}"
        fault = Fault(pointer("concrete_length_in"), "missing", detail)
        raise Rejected("invalid_spec", "1 fault", (fault,))
