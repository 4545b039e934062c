"""Closed-form beams against a finite-element program: PyNiteFEA, an independent general-purpose library."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from Pynite import FEModel3D
from Pynite.Node3D import Node3D

from service.mechanics.beam import Beam, Load, Point, Uniform
from service.mechanics.response import Response, analyse

BEAMS = 500
CHUNKS = 10
E_PSI, I_IN4 = 1.3e6, 98.93
STIFFNESS_LB_IN2 = E_PSI * I_IN4


def tenth(rng: np.random.Generator, low_ft: float, high_ft: float) -> float:
    """A position to the tenth: slivers of an element spoil the finite-element answer, not ours."""
    return round(float(rng.uniform(low_ft, high_ft)), 1)


def a_beam(rng: np.random.Generator) -> tuple[Beam, list[Load]]:
    at = [tenth(rng, 0.5, 4.0) * rng.integers(2)]
    for _ in range(rng.integers(1, 5)):
        at.append(at[-1] + tenth(rng, 4.0, 16.0))
    length = at[-1] + tenth(rng, 0.5, 4.0) * rng.integers(2)
    loads: list[Load] = [Uniform(0.0, length, rng.uniform(10.0, 200.0))]
    for _ in range(rng.integers(3)):
        a, b = sorted((tenth(rng, 0.0, length - 0.2), tenth(rng, 0.0, length - 0.2)))
        loads.append(Uniform(a, b + 0.1, rng.uniform(10.0, 200.0)))
    for _ in range(rng.integers(3)):
        loads.append(Point(tenth(rng, 0.0, length - 0.1), rng.uniform(50.0, 600.0)))
    return Beam(length, tuple(at)), loads


def marks_ft(beam: Beam, loads: list[Load]) -> list[float]:
    marks = {0.0, beam.length_ft, *beam.supports_ft}
    for load in loads:
        marks |= {load.at_ft} if isinstance(load, Point) else {load.start_ft, load.end_ft}
    return distinct(marks)


def distinct(marks: set[float]) -> list[float]:
    kept: list[float] = []
    kept.extend(x for x in sorted(marks) if not kept or x - kept[-1] > 1e-6)
    return kept


def nearest(model: FEModel3D, x_ft: float) -> Node3D:
    return min(model.nodes.values(), key=lambda node: abs(node.X / 12 - x_ft))


def fe_model(beam: Beam, loads: list[Load], probes_ft: list[float]) -> FEModel3D:
    """Nodes at every jump and at the probes; inches and pounds."""
    model = FEModel3D()
    model.add_material("wood", E_PSI, E_PSI / 16, 0.3, 0.0)
    model.add_section("section", 13.875, 10.0, I_IN4, 10.0)
    nodes = distinct({*marks_ft(beam, loads), *probes_ft})
    for x in nodes:
        model.add_node(f"{x!r}", 12 * x, 0, 0)
    for n, x in enumerate(beam.supports_ft):
        model.def_support(nearest(model, x).name, n == 0, True, True, n == 0, False, False)
    for a, b in pairwise(nodes):
        model.add_member(f"m{a!r}", f"{a!r}", f"{b!r}", "wood", "section")
        plf = sum(w.load_plf for w in loads if isinstance(w, Uniform) and w.start_ft < (a + b) / 2 < w.end_ft)
        if plf:
            model.add_member_dist_load(f"m{a!r}", "FY", -plf / 12, -plf / 12)
    for load in loads:
        if isinstance(load, Point):
            model.add_node_load(nearest(model, load.at_ft).name, "FY", -load.load_lb)
    model.analyze_linear(check_stability=False)
    return model


def force_scale(loads: list[Load]) -> float:
    return sum(p.load_lb if isinstance(p, Point) else p.load_plf * (p.end_ft - p.start_ft) for p in loads)


def compare_forces(solved: Response, loads: list[Load]) -> None:
    beam, total = solved.beam, force_scale(loads)
    model = fe_model(beam, loads, [])
    for x, reaction in zip(beam.supports_ft, solved.reactions_lb, strict=True):
        fe_lb = nearest(model, x).RxnFY["Combo 1"]
        assert fe_lb == pytest.approx(reaction, rel=1e-6, abs=1e-6 * total)
    for member in model.members.values():
        middle_in = member.L() / 2
        x = (member.i_node.X + middle_in) / 12
        fe_lb_ft = -member.moment("Mz", middle_in) / 12
        assert fe_lb_ft == pytest.approx(solved.moment_lb_ft(x), rel=1e-6, abs=1e-7 * total * beam.length_ft)
        assert member.shear("Fy", middle_in) == pytest.approx(solved.shear_lb(x), rel=1e-6, abs=1e-6 * total)


def compare_deflections(solved: Response, loads: list[Load]) -> None:
    peaks = solved.bay_deflections_in
    largest = max(abs(peak.value) for peak in peaks)
    model = fe_model(solved.beam, loads, [peak.at_ft for peak in peaks])
    for peak in peaks:
        fe_in = -nearest(model, peak.at_ft).DY["Combo 1"]
        assert fe_in == pytest.approx(peak.value, rel=1e-4, abs=1e-5 * largest)
    assert max(abs(node.DY["Combo 1"]) for node in model.nodes.values()) <= largest * 1.0001


@pytest.mark.parametrize("chunk", range(CHUNKS), ids=lambda n: f"PyNiteFEA-3.2-random-beams-{n}")
def test_random_beams(chunk: int) -> None:
    rng = np.random.default_rng(chunk)
    for _ in range(BEAMS // CHUNKS):
        beam, loads = a_beam(rng)
        solved = analyse(beam, loads, STIFFNESS_LB_IN2)
        compare_forces(solved, loads)
        compare_deflections(solved, loads)
