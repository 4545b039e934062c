"""What the referee judges: the members of an answer, and the rules they are judged by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, Protocol

from properties.referee_ground import Ground, ground_of
from properties.referee_plan import along_house, beam_width_in, pieces_of, segment
from shapely import LineString
from shapely import Point as Place

from service.choice.level.context import Context
from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Footing, Joists, Level, Post
from service.contract.spec import DeckSpec, LevelSpec
from service.sizing.allowed import Allowed
from service.sizing.criteria import Criteria
from service.sizing.resolve import criteria_of
from service.units.finding import Finding

NEIGHBOURS_IN = 24.0  # joists this near along a beam load the same part of it
OVER = 0.001  # in; the answer rounds


@dataclass(frozen=True)
class Carried:
    """A member that carries joists: its centre lines in plan, inches.

    ``beside`` tells that joists hang on its face rather than lie over it; ``slack_in`` is how far from square it
    may pull their ends apart.
    """

    kind: Literal["ledger", "beam", "joists"]
    lines: tuple[LineString, ...]
    width_in: float
    plies: int
    beside: bool
    slack_in: float

    def along_in(self, turned: bool) -> float:
        """Return its width measured along the joists, in."""
        (ax, ay), (bx, by) = self.lines[0].coords[0][:2], self.lines[0].coords[-1][:2]
        square = abs(by - ay) if turned else abs(bx - ax)
        return self.width_in * self.lines[0].length / max(square, 1e-9)


@dataclass(frozen=True)
class Answer:
    """The part of an answer the referee reads, with the spec it answers. ``status`` is null where not given."""

    spec: DeckSpec
    criteria: Criteria
    levels: tuple[Level, ...]
    posts: tuple[Post, ...]
    footings: tuple[Footing, ...]
    checks: tuple[Finding, ...]
    status: str | None
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]

    @cached_property
    def pairs(self) -> tuple[tuple[Level, LevelSpec], ...]:
        """Levels answered and asked."""
        return tuple(zip(self.levels, self.spec.levels, strict=True))

    @property
    def framed(self) -> bool:
        """Whether every level has joists."""
        return bool(self.levels) and all(level.joists for level in self.levels)

    @cached_property
    def _carried(self) -> dict[tuple[str, str], Carried]:
        found: dict[tuple[str, str], Carried] = {}
        for level in self.levels:
            for ledger in level.ledgers:
                line = segment(ledger.start_ft, ledger.end_ft)
                found[level.id, ledger.id] = Carried("ledger", (line,), 3.0, 1, True, _slack(line))
            for beam in level.beams:
                width, flush = beam_width_in(beam.size, beam.plies), beam.placement == "flush"
                lines = (segment(beam.start_ft, beam.end_ft),)
                found[level.id, beam.id] = Carried("beam", lines, width, beam.plies, flush, 0.0)
            for group in level.joists:
                turned = along_house(group)
                drawn = tuple(
                    LineString((p.point(p.low, turned), p.point(p.high, turned))) for p in pieces_of(group)
                )
                if drawn:
                    found[level.id, group.id] = Carried(
                        "joists", drawn, 1.5 * group.plies, group.plies, True, 0.0
                    )
        return found

    def carried(self, level: Level, member: str) -> Carried | None:
        """Return what a support is, or None where there is no such member."""
        return self._carried.get((level.id, member))

    @cached_property
    def ground_in(self) -> Ground:
        """The height of the ground above the datum, in, at a place in ft."""
        return ground_of(self.spec.site)

    def footings_of(self, level: Level) -> tuple[Footing, ...]:
        """Return the footings under the beams of a level."""
        beams = {beam.id for beam in level.beams}
        posts = {post.id for post in self.posts if post.beam in beams}
        return tuple(f for f in self.footings if (f.post in posts if f.post else f.serves in beams))

    def one_sided(self, level: Level, beam: Beam) -> Iterator[tuple[float, float | None, float]]:
        """Yield, for every joist line on a beam: where along the beam, its span, its cantilever past the beam, in.

        The span is null where joists come from both sides of the beam there.
        """
        found = [one for group in level.joists for one in _on_beam(group, beam)]
        for at, before, after, over in found:
            others = [(b, a) for there, b, a, _ in found if abs(there - at) <= NEIGHBOURS_IN]
            if any(b for b, _ in others) and any(a for _, a in others):
                yield at, None, over
            else:
                yield at, before or after, over

    def fails(self, member: str, check: str) -> bool:
        """Tell whether a check of that name and member is reported as failing."""
        return any(c.member == member and c.check == check and not c.passes for c in self.checks)

    def over(self, member: str, check: str, demand_in: float, allowed: Allowed) -> Iterator[str]:
        """Say what is wrong where a length is over what the rules allow and nothing says so."""
        within = allowed.value_in is not None and demand_in <= allowed.value_in + OVER
        shown = f"{member}: {demand_in:g} in against {allowed.value_in} in ({check})"
        if not within and not self.fails(member, check):
            yield f"{shown}, and no check fails"
        if self.status == "prescriptive" and not (within and allowed.basis == "table"):
            yield f"{shown}, {allowed.basis}, and the verdict is prescriptive"


class Judgeable(Protocol):
    """What an answer needs of a report, or of anything like it."""

    levels: tuple[Level, ...]
    posts: tuple[Post, ...]
    footings: tuple[Footing, ...]
    checks: tuple[Finding, ...]


def answer_of(report: DesignReport, where: Context) -> Answer:
    """Return what the referee reads of a whole report."""
    return answer_from(
        report,
        report.resolved_spec,
        where,
        report.verdict.status,
        tuple(reason.code for reason in report.verdict.reasons),
        tuple(caution.code for caution in report.cautions),
    )


def answer_from(
    found: Judgeable,
    resolved: DeckSpec,
    where: Context,
    status: str | None = None,
    reasons: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
) -> Answer:
    """Return what the referee reads of members alone; rules that need a verdict are silent without one."""
    criteria = criteria_of(resolved, where.rulebook, where.guide, where.jurisdiction, where.timber)
    return Answer(
        resolved, criteria, found.levels, found.posts, found.footings, found.checks, status, reasons, cautions
    )


def _slack(line: LineString) -> float:
    """How far the end of a joist that meets a slanted ledger may be from where its centre line does, in."""
    (ax, ay), (bx, by) = line.coords[0][:2], line.coords[-1][:2]
    less, more = sorted((abs(bx - ax), abs(by - ay)))
    return 1.5 * less / max(more, 1e-9)


def _on_beam(group: Joists, beam: Beam) -> Iterator[tuple[float, float, float, float]]:
    """Lines of a group over a beam: where along it, the spans before and after it (0: none), the cantilever past it."""
    line, turned = segment(beam.start_ft, beam.end_ft), along_house(group)
    for piece in pieces_of(group):
        supports, spans = piece.line.supports, piece.line.spans_in
        for n, support in enumerate(supports):
            if support.member == beam.id and len(spans) == len(supports) - 1:
                before, after = (spans[n - 1] if n else 0.0), (spans[n] if n < len(spans) else 0.0)
                over = piece.line.cantilever_house_in if n == 0 else piece.line.cantilever_yard_in
                at = line.project(Place(piece.point(piece.low + support.at_in, turned)))
                yield at, before, after, 0.0 if before and after else over


def carries(group: Joists, member: str) -> bool:
    """Tell whether any line of a group names the member as a support."""
    return any(support.member == member for line in group.lines for support in line.supports)
