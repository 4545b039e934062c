"""A frame without a choice of sizes: one joist, one spacing and one beam, on piers; for thousands of outlines.

Geometry, statics and limits are those of any design. What is left out is weighing sizes, methods and prices.
"""

from __future__ import annotations

from dataclasses import replace

import msgspec
from context import context
from properties.outlines import Case as Drawn
from properties.referee_answer import Answer

from service.choice.level.buried import sunk
from service.choice.level.case import Case
from service.choice.level.cases import cases_of
from service.choice.level.level_work import LevelWork, work_level
from service.choice.level.space import Space
from service.choice.search.best_first import Order
from service.choice.search.decide import kinds, search_of
from service.choice.search.footing_price import FootingPrice
from service.choice.search.plans import Plan, plans
from service.choice.search.search import Search
from service.comparison.compare import compare
from service.comparison.recommend import choose_method
from service.foundations.method import Sized
from service.framing.boards import Boards
from service.framing.layout import Layout
from service.sizing.resolve import criteria_of, resolve_spec
from service.takeoff.items import lumber, treatment
from service.takeoff.ladders import Ladders

JOISTS = (("2x10", 16.0), ("2x12", 12.0), ("2x8", 16.0), ("2x12", 16.0))


def quick(drawn: Drawn) -> Answer:
    """What the referee reads of a deck framed with one choice of sizes, by its seed."""
    priced = context(None, f"irc-{drawn.edition}")
    where = replace(priced, prices=None)
    spec = resolve_spec(drawn.spec, where.rulebook, None, None, where.as_of)
    criteria = criteria_of(spec, where.rulebook, where.guide, None, where.timber)
    item = lumber("2x10", criteria.species, criteria.grade, treatment(criteria.species, ground_contact=False))
    boards = Boards(Ladders(priced.prices).longest_in(item))
    works = [_work(replace(case, boards=boards), drawn.seed) for case in cases_of(spec, where, criteria)]
    framed = [work for work in works if work is not None]
    if len(framed) < len(works):
        return Answer(msgspec.structs.replace(spec, levels=()), criteria, (), (), (), (), None, (), ())
    sized = _sized(framed)
    framed = list(sunk(framed, sized))
    return Answer(
        spec=spec,
        criteria=criteria,
        levels=tuple(work.level for work in framed),
        posts=tuple(post for work in framed for post in work.posts),
        footings=tuple(one.footing for one in sized),
        checks=tuple(found for one in (*(w.judged for w in framed), *sized) for found in one.findings),
        status=None,
        reasons=tuple(reason.code for work in framed for reason in work.judged.reasons),
        cautions=(),
    )


def _sized(framed: list[LevelWork]) -> tuple[Sized, ...]:
    case = framed[0].case
    demands = [demand for work in framed for demand in work.demands]
    found = compare(demands, case.criteria, case.spec, None, case.context.facts)
    method = choose_method(found, "auto")
    return method.sized if method else ()


def _work(case: Case, seed: int) -> LevelWork | None:
    joist, spacing = JOISTS[seed % len(JOISTS)]
    space = Space((joist,), (spacing,), ("2x12",), (3,), ("dropped",), ("6x6",), one_size=False)
    small = replace(case, space=space)
    ways = [plan for kind in kinds(small) for plan in plans(small, kind)]
    # every way a level may be divided comes up, not only the plainest
    turned = ways[seed % len(ways) :] + ways[: seed % len(ways)]
    for plan in turned:
        layouts = _layouts(small, plan)
        if layouts is not None:
            return work_level(small, layouts)
    return None


class _AnyFootings:
    """Footings that are not weighed: every set costs and stands the same."""

    worked_out = 0

    def least(self, *_: object) -> int:
        return 0

    def of(self, _: Layout) -> FootingPrice:
        return FootingPrice(0, None)


def _layouts(case: Case, plan: Plan) -> list[Layout] | None:
    found = list[Layout]()
    for region in plan.regions:
        desk = replace(search_of(case, region).desk, footings=_AnyFootings())  # type: ignore[arg-type]
        first = next(Search(desk).best_first(Order("no_prices")), None)
        if first is None:
            return None
        found.append(first.layout)
    return found
