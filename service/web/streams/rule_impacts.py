"""POST /v1/rule-impacts: which designs another version of a rulebook changes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, cast

from litestar import asgi
from litestar.types import Receive, Scope, Send

from service.contract.problem import Allowed, Fault, pointer
from service.store.errors import NotServed
from service.web.caller import Caller
from service.web.desk import Desk
from service.web.queries import invalid_query
from service.web.streams.query import FIRST_LINE, FROM, TO, read_query
from service.web.streams.serve import AnyRequest, Plan, serve

VERSIONS = (FROM, TO)
PARAMETERS = (*VERSIONS, FIRST_LINE)


@asgi("/v1/rule-impacts", copy_scope=False, operation_id="assessRuleImpacts")
async def assess_rule_impacts(scope: Scope, receive: Receive, send: Send) -> None:
    """Tell for each spec what changes when one version of its rulebook takes the place of another.

    One spec a line, as `createDesign` takes it. A spec that would be designed by the rulebook of `from`, named or in
    force, in whichever version, is designed twice, by `from` and by `to`: the same day, place with its amendments,
    and prices. Both versions count as in force where that rulebook is, so `to` may be one that has only been
    announced. `changed` tells whether verdict, reasons, members, failing checks or the order differ, `impact` how.
    Other specs are not touched: `applies` is false. An amendment that finds no row in `to` is among the reasons
    added. Lines are answered in their order: a result, or a problem.

    Told are verdict, reasons, members, failing checks, footings and the order; not cautions, the footing comparison,
    loads, nor the figures of checks that pass by both.
    """
    await serve(scope, cast("Any", receive), cast("Any", send), _planned)


def _planned(request: AnyRequest, desk: Desk, _: Caller) -> Plan:
    given = read_query(request, PARAMETERS)
    versions = {one.name: given[one.name] for one in VERSIONS}
    refuse_unknown(versions, desk)
    return Plan("impacts", int(given["first_line"]), versions)


def refuse_unknown(versions: dict[str, str], desk: Desk) -> None:
    """Refuse versions, by the name of their parameter, that are not pinned or that no design can be made by.

    Raises:
        Rejected: invalid_query, with every fault
        DamagedVersion: one is damaged in the store
    """
    faults = [
        fault
        for one in VERSIONS
        for fault in one.faults(versions[one.name]) or _unknown(one.name, versions[one.name], desk)
    ]
    if faults:
        raise invalid_query(faults)


def _unknown(name: str, given: str, desk: Desk) -> Iterator[Fault]:
    try:
        found = desk.snapshot.rulebook(given, desk.today(None))
    except NotServed as unknown:
        yield Fault(pointer(name), "unknown_rulebook", str(unknown), Allowed(one_of=desk.codes()))
        return
    if found.kind == "guide":
        detail = f"{found.id} is a guide beyond the code: no design is made by it"
        yield Fault(pointer(name), "unknown_rulebook", detail, Allowed(one_of=desk.codes()))
