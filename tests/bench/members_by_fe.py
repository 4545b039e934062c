"""Members of the answered frame by our closed forms and by PyNiteFEA, a general finite-element library.

`PYTHONPATH=.:tests:tests/bench python tests/bench/members_by_fe.py [rounds]`, on a quiet machine, one core.

Every joist and beam of a deck under its dead and its live load, each as the simple or continuous beam it is, and every
post under its load: reactions, largest moment and largest deflection of each span and overhang. Both sides solve the
same members one by one, full load first, then every pattern of live load on some bays and not on others. Shown are the
medians of the rounds, in ms of CPU, the ratio, and the largest difference against the largest value of its kind in
the member. Deflections by finite elements are read at 20 places a member: the largest lies between two of them.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from design_by_stage import DECKS_FT, spec_of
from Pynite import FEModel3D

from service.app import bundled_snapshot, make_desk
from service.checks.calculated import joist_pieces, whole_beam
from service.choice.level.cases import cases_of
from service.choice.search.decide import decide
from service.mechanics.beam import Beam, Uniform
from service.mechanics.cases import solve_cases
from service.mechanics.patterns import bay_loads, governing_patterns
from service.mechanics.response import analyse
from service.sizing.resolve import criteria_of, resolve_spec
from service.timber.sections import Section, section
from service.web.resolve import context_of, read_spec

E_PSI = 1.26e6  # No. 2 southern pine 2x10, wet: any value does, both sides are given the same
COMBO = "Combo 1"
HEAD = ("deck", "members", "cases", "ours, ms", "FE, ms", "ratio", "reactions", "moments", "deflections")


@dataclass(frozen=True)
class Loaded:
    """A beam with its section and its dead and live load, plf."""

    beam: Beam
    piece: Section
    dead_plf: float
    live_plf: float

    @property
    def stiffness_lb_in2(self) -> float:
        """E I."""
        return E_PSI * self.piece.inertia_in4


@dataclass(frozen=True)
class Column:
    """A post under its load."""

    height_in: float
    area_sqin: float
    load_lb: float


@dataclass(frozen=True)
class Figures:
    """What both sides find: lb, lb-ft and in, in the same order."""

    reactions: list[float]
    moments: list[float]
    deflections: list[float]


def members_of(width_ft: float, projection_ft: float) -> tuple[list[Loaded], list[Column]]:
    """Return every joist, beam and post of the frame that is answered."""
    desk = make_desk(bundled_snapshot())
    spec = read_spec(spec_of(width_ft, projection_ft), desk)
    where = context_of(spec, desk)
    spec = resolve_spec(spec, where.rulebook, where.jurisdiction, spec.price_book, where.as_of)
    criteria = criteria_of(spec, where.rulebook, where.guide, where.jurisdiction, where.timber)
    chosen = decide(cases_of(spec, where, criteria)[0]).chosen
    assert chosen is not None
    beams, columns = list[Loaded](), list[Column]()
    for built in (one for work in chosen.levels for one in work.built):
        strip_ft = built.layout.spacing_in / 12
        joist = section(built.layout.joist_size, 1)
        for line in built.placed:
            beams += [
                Loaded(piece, joist, criteria.dead_psf * strip_ft, criteria.variable_psf * strip_ft)
                for piece in joist_pieces(line)
            ]
        for beam in built.beams:
            share_ft = beam.line_load_plf / criteria.design_psf
            loads = criteria.dead_psf * share_ft, criteria.variable_psf * share_ft
            beams.append(Loaded(whole_beam(beam), section(beam.size, beam.plies), *loads))
        stands = [stand for stand in built.stands if stand.foot.standing == "post"]
        for post, stand in zip(built.posts, stands, strict=True):
            side = section(post.size).depth_in
            columns.append(Column(post.height_in, side * side, stand.sizing_load_lb))
    return beams, columns


def ours_full(one: Loaded) -> Figures:
    """Full load by the closed forms."""
    whole = Uniform(0.0, one.beam.length_ft, one.dead_plf + one.live_plf)
    solved = analyse(one.beam, [whole], one.stiffness_lb_in2)
    moment = max(solved.max_moment_lb_ft.value, -solved.min_moment_lb_ft.value)
    return Figures(
        list(solved.reactions_lb), [moment], [abs(peak.value) for peak in solved.bay_deflections_in]
    )


def ours_patterns(one: Loaded) -> Figures:
    """Every pattern by the closed forms, all at once: the worst of each figure."""
    dead = Uniform(0.0, one.beam.length_ft, one.dead_plf)
    solved = solve_cases(one.beam, [dead], one.live_plf)
    bent = solved.bay_deflections_in(one.stiffness_lb_in2)
    return Figures(
        solved.reactions_lb.max(axis=0).tolist(),
        [solved.worst_moment_lb_ft.value],
        [max(sinks.value, -lifts.value) for sinks, lifts in bent],
    )


def ours_post(one: Column) -> Figures:
    """A post's reaction and how much shorter it gets."""
    return Figures([one.load_lb], [], [one.load_lb * one.height_in / (one.area_sqin * E_PSI)])


def model_of(piece: Section, length_in: float) -> FEModel3D:
    """A model with a material and one section, and no member yet."""
    model = FEModel3D()
    model.add_material("wood", E_PSI, E_PSI / 16, 0.3, 0.0)
    model.add_section("section", piece.width_in * piece.depth_in, length_in, piece.inertia_in4, length_in)
    return model


def fe(one: Loaded, cases: Sequence[Sequence[Uniform]]) -> Figures:
    """A beam by finite elements, a member a bay and a load combination a case: the worst of each figure."""
    model, marks = model_of(one.piece, 10.0), sorted({0.0, one.beam.length_ft, *one.beam.supports_ft})
    for n, x in enumerate(marks):
        model.add_node(f"n{n}", 12 * x, 0, 0)
        if x in one.beam.supports_ft:
            first = x == one.beam.supports_ft[0]
            model.def_support(f"n{n}", first, True, True, first, False, False)
    names = [f"m{n}" for n in range(len(marks) - 1)]
    for n, name in enumerate(names):
        model.add_member(name, f"n{n}", f"n{n + 1}", "wood", "section")
        for number, loads in enumerate(cases):
            for load in loads:
                if load.start_ft < (marks[n] + marks[n + 1]) / 2 < load.end_ft:
                    plf = -load.load_plf / 12
                    model.add_member_dist_load(name, "FY", plf, plf, case=f"c{number}")
    combos = [f"c{number}" for number in range(len(cases))]
    for combo in combos:
        model.add_load_combo(combo, {combo: 1.0})
    model.analyze_linear(check_stability=False)
    stands = [model.nodes[f"n{n}"] for n, x in enumerate(marks) if x in one.beam.supports_ft]
    members = [model.members[name] for name in names]
    return Figures(
        [max(node.RxnFY[combo] for combo in combos) for node in stands],
        [max(_largest(member, "moment", "Mz", combo) for member in members for combo in combos) / 12],
        [max(_largest(member, "deflection", "dy", combo) for combo in combos) for member in members],
    )


def _largest(member: object, kind: str, axis: str, combo: str) -> float:
    return max(abs(getattr(member, f"{end}_{kind}")(axis, combo)) for end in ("max", "min"))


def fe_full(one: Loaded) -> Figures:
    """Full load by finite elements."""
    return fe(one, [[Uniform(0.0, one.beam.length_ft, one.dead_plf + one.live_plf)]])


def fe_patterns(one: Loaded) -> Figures:
    """Every pattern by finite elements."""
    dead = Uniform(0.0, one.beam.length_ft, one.dead_plf)
    patterns = governing_patterns(len(one.beam.bays_ft))
    return fe(one, [[dead, *bay_loads(one.beam, pattern, one.live_plf)] for pattern in patterns])


def fe_post(one: Column) -> Figures:
    """A post by finite elements, lying along the model's first axis."""
    model = FEModel3D()
    model.add_material("wood", E_PSI, E_PSI / 16, 0.3, 0.0)
    model.add_section("section", one.area_sqin, 10.0, 10.0, 10.0)
    model.add_node("foot", 0, 0, 0)
    model.add_node("head", one.height_in, 0, 0)
    model.def_support("foot", True, True, True, True, True, True)
    model.add_member("post", "foot", "head", "wood", "section")
    model.add_node_load("head", "FX", -one.load_lb)
    model.analyze_linear(check_stability=False)
    return Figures([model.nodes["foot"].RxnFX[COMBO]], [], [-model.nodes["head"].DX[COMBO]])


def cpu_ms(work: Callable[[], list[Figures]], rounds: int) -> tuple[float, list[Figures]]:
    """Return the median CPU of some work, ms, and what it found."""
    taken, found = [], work()
    for _ in range(rounds):
        start = time.process_time_ns()
        found = work()
        taken.append((time.process_time_ns() - start) / 1e6)
    return statistics.median(taken), found


def apart(ours: Sequence[Figures], theirs: Sequence[Figures], kind: str) -> float:
    """Return the largest difference of one kind of figure, against the largest of that member."""
    worst = 0.0
    for a, b in zip(ours, theirs, strict=True):
        mine, other = getattr(a, kind), getattr(b, kind)
        largest = max((abs(value) for value in mine), default=1.0)
        worst = max([worst, *(abs(x - y) / largest for x, y in zip(mine, other, strict=True))])
    return worst


def rows(width_ft: float, projection_ft: float, rounds: int) -> Iterator[tuple[str, ...]]:
    """Yield a row for full load, and one for all patterns."""
    beams, columns = members_of(width_ft, projection_ft)
    for cases, (ours, theirs) in {
        "full load": (ours_full, fe_full),
        "patterns": (ours_patterns, fe_patterns),
    }.items():
        mine, found = cpu_ms(
            lambda one=ours: [*map(one, beams), *map(ours_post, columns)], max(5, 5 * rounds)
        )
        other, held = cpu_ms(lambda one=theirs: [*map(one, beams), *map(fe_post, columns)], rounds)
        kinds = (apart(found, held, kind) for kind in ("reactions", "moments", "deflections"))
        yield (
            f"{width_ft}x{projection_ft} ft",
            str(len(beams) + len(columns)),
            cases,
            f"{mine:.2f}",
            f"{other:.0f}",
            f"{other / mine:.0f}",
            *(f"{kind:.0e}" for kind in kinds),
        )


def main(rounds: int = 3) -> None:
    """Print a table, two rows a deck."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    lines = [HEAD, *(row for deck in DECKS_FT for row in rows(*deck, rounds))]
    wide = [max(len(one[n]) for one in lines) for n in range(len(HEAD))]
    for one in lines:
        sys.stdout.write("  ".join(text.rjust(w) for text, w in zip(one, wide, strict=True)) + "\n")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))
