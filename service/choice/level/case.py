"""What stays the same while frames of one level are tried."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from service.checks.judged import Judged
from service.choice.level.ask import Ask
from service.choice.level.context import Context
from service.choice.level.space import Space
from service.comparison.compare import Job, job_of
from service.contract.spec import DeckSpec, LevelSpec
from service.foundations.site import DeckFacts
from service.framing.beam_lines import Joints
from service.framing.boards import Boards
from service.framing.edge_loads import EdgeLoad
from service.framing.ground import Terrain
from service.framing.guard_edges import greatest_drop_in
from service.framing.guards import KnownRuns
from service.framing.members import Setting
from service.framing.region import Region
from service.framing.sides import Outline
from service.framing.stairs import StairResult
from service.framing.walls import Walls
from service.sizing.criteria import Criteria

WITHIN_IN = 36.0  # IRC R507.3, exception: the height of a deck is measured within 36 in of its edge


@dataclass(frozen=True)
class Case:
    """One level of a deck: spec, context, its outline, its stairs, and what the site means for it.

    ``boards`` are the longest that can be bought. ``beside_levels`` are its edges where an earlier level of the spec
    begins: that one's beams and footings stand there already. ``alone`` are its stairs that can stand by themselves
    where an edge takes none, with the footings they then need. ``joints`` are those of beams whose plies are not
    joined as seldom as can be. ``clear_of_house_in`` is how far from the house every post is to stand.
    ``every_stair`` are the stairs of all levels: no post of any may stand in their way.
    """

    spec: DeckSpec
    context: Context
    level: LevelSpec
    outline: Outline
    criteria: Criteria
    ground: Terrain
    walls: Walls
    space: Space
    boards: Boards
    guarded: bool
    stairs: tuple[StairResult, ...]
    site: Judged
    beside_levels: frozenset[int] = frozenset()
    alone: Mapping[str, int] = field(default_factory=dict)
    joints: Mapping[str, Joints] = field(default_factory=dict)
    clear_of_house_in: float = 0.0
    every_stair: tuple[StairResult, ...] = ()

    @property
    def stock_in(self) -> float:
        """The longest board of most sizes, in."""
        return self.boards.longest_in

    @property
    def touches_house(self) -> bool:
        """Whether any side of the level lies along a wall of the house."""
        return bool(self.outline.house_sides)

    @cached_property
    def over_grade_in(self) -> float:
        """How far its surface lies over the lowest ground near its open edges, in."""
        surface_in = self.level.surface_height_in
        edges = (side.edge for side in self.outline.sides if not side.on_house)
        drops = (greatest_drop_in(edge, surface_in, self.ground, WITHIN_IN) for edge in edges)
        return max(drops, default=surface_in)

    @cached_property
    def known_guard_runs(self) -> KnownRuns:
        """The guard runs of the frames tried so far."""
        return KnownRuns()

    @cached_property
    def footing_job(self) -> Job:
        """What footing methods are worked out against where the level is the whole deck."""
        return self.footing_job_of(DeckFacts(self.outline.polygon.area, self.over_grade_in))

    def footing_job_of(self, deck: DeckFacts) -> Job:
        """Return what footing methods are worked out against for a deck that begins with this level."""
        if deck not in self._footing_jobs:
            prices, facts = self.context.prices, self.context.facts
            self._footing_jobs[deck] = job_of(self.criteria, self.spec, prices, facts, deck)
        return self._footing_jobs[deck]

    @cached_property
    def _footing_jobs(self) -> dict[DeckFacts, Job]:
        return {}

    @property
    def loads(self) -> tuple[EdgeLoad, ...]:
        """What its stairs put on its edges."""
        return tuple(self._edge_load(one) for one in self.stairs if one.load is not None)

    def _edge_load(self, stair: StairResult) -> EdgeLoad:
        load = stair.load
        assert load is not None  # noqa: S101 - the caller asks for stairs with a load only
        alone = self.alone.get(load.stair)
        return EdgeLoad(load.stair, load.edge, load.start_ft, load.end_ft, load.reaction_lb, alone)

    def ask(self, region: Region) -> Ask:
        """Return what a search is asked for one region of the level."""
        return Ask(
            level=self.level.id,
            region=region,
            surface_in=self.level.surface_height_in,
            decking_in=self.level.decking.thickness_in,
            ground=self.ground,
            criteria=self.criteria,
            space=self.space,
            boards=self.boards,
            loads=self.loads,
            clear_of_house_in=self.clear_of_house_in,
            watch=self.context.watch,
        )

    def setting(self) -> Setting:
        """Return where the level is built."""
        return Setting(
            level=self.level.id,
            species=self.criteria.species,
            grade=self.criteria.grade,
            surface_in=self.level.surface_height_in,
            decking_in=self.level.decking.thickness_in,
            ground=self.ground,
            design_psf=self.criteria.design_psf,
            boards=self.boards,
            loads=self.loads,
            joints=self.joints,
        )

    def with_space(self, spec: DeckSpec, space: Space) -> Case:
        """Return the case with other wishes of the frame."""
        return replace(self, spec=spec, space=space)
