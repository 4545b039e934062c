"""A deck with the plies of its beams joined where its boards come cheapest, judged again with those joints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from service.choice.level.level_work import LevelWork, work_level
from service.choice.level.worked import Worked, best_of, work_deck
from service.contract.report_frame import Beam
from service.framing.beam_lines import Joints
from service.takeoff.order import ply_joints


def with_cheapest_joints(worked: Worked, objective: str) -> Worked:
    """Return the deck with other joints in its beams where that saves money and stands as well; else as it is.

    Which posts joints may stand on, and how many, are the rules of ``ply_splices``. A beam that one board holds is
    joined only where that saves what ``WORTH_A_JOINT`` says; it is then judged as a joined one, span by span.
    """
    case = worked.levels[0].case
    beams = {beam.id: beam for work in worked.levels for members in work.built for beam in members.beams}
    found = ply_joints(worked.frame, case.spec, case.criteria, case.context.prices, beams)
    changed = {name: way for name, way in found.items() if way != _joints(beams[name])}
    if not changed:
        return worked
    again = work_deck([_again(work, changed) for work in worked.levels])
    again = replace(again, price=worked.price, deflection_in=worked.deflection_in)
    return best_of((again, worked), objective, ordered=True) or worked


def _joints(beam: Beam) -> Joints:
    """The joints a beam has, by index of its posts; plies may change places."""
    found: list[tuple[int, ...]] = [()] * beam.plies
    for splice in beam.splices:
        number = int(splice.at_post.rpartition("-")[2])
        found[splice.ply - 1] = tuple(sorted((*found[splice.ply - 1], number - 1)))
    return tuple(sorted(found))


def _again(work: LevelWork, changed: Mapping[str, Joints]) -> LevelWork:
    own = {beam.id for members in work.built for beam in members.beams} & set(changed)
    if not own:
        return work
    joints = {**work.case.joints, **{name: changed[name] for name in own}}
    return work_level(replace(work.case, joints=joints), work.layouts)
