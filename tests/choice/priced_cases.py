"""Cases with prices, and layouts of theirs, for tests of what a frame costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from context import AS_OF, NOWHERE, context, spec_of

from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.level.context import Context
from service.choice.search.decide import search_of
from service.choice.search.plans import Attachment, plans
from service.framing.layout import Layout
from service.sizing.resolve import criteria_of, resolve_spec

HOUSE = {"wall": "wood_band", "door_sill_height_in": 37.5, "rim_depth_in": 11.25}
ALONE = {"wall": "none"}
LEVEL: dict[str, Any] = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}
CREW = {"currency": "USD", "hourly_rate": "48.00", "crew_day_value": "1450.00"}
WAGES = {**CREW, "time_counted": "wages_plus_idle_days"}
L_SHAPE = [[0, 0], [20, 0], [20, 8], [12, 8], [12, 14], [0, 14]]
CLIPPED = [[0, 0], [16, 0], [16, 8], [12, 12], [0, 12]]


def case_of(where: Context | None = None, **given: Any) -> Case:
    """The first level of a spec, as it is framed."""
    here = where or context()
    wished = {"site": {} if here.jurisdiction else dict(NOWHERE), "house": HOUSE, "levels": [LEVEL], **given}
    spec = resolve_spec(spec_of(**wished), here.rulebook, here.jurisdiction, None, AS_OF)
    judged_by = criteria_of(spec, here.rulebook, here.guide, here.jurisdiction, here.timber)
    return cases_of(spec, here, judged_by)[0]


def some_layouts(case: Case, kind: Attachment, most: int) -> Sequence[Layout]:
    """Layouts that stand, of a case's plainest plan with one region, spread over all there are."""
    plan = next(plan for plan in plans(case, kind) if len(plan.regions) == 1)
    search = search_of(case, plan.regions[0])
    field = next((found for inner in range(3) if len(found := search.field(inner))), search.field(0))
    step = max(1, len(field) // most)
    return [field.layout(row) for row in range(0, len(field), step)]
