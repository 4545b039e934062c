"""What a process of the pool does with a task: each of its lines becomes a result line or a problem line."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

import msgspec

from service.contract.stream import StreamProblem
from service.web.desk import Desk
from service.web.problem_answer import refusal_of
from service.web.seen.request import Stages, telling
from service.web.seen.tally import Tally
from service.web.streams.design_line import design_line
from service.web.streams.impact_line import impact_line
from service.web.streams.messages import Call, Line, Task, Worked
from service.web.streams.problem_lines import problem_line, too_long
from service.web.streams.reprice_line import reprice_line
from service.web.visit import Visit
from service.web.watched import watched_by

Work = Callable[[int, bytes, Call, Desk], msgspec.Struct]
WORKS: dict[str, Work] = {"designs": design_line, "repricings": reprice_line, "impacts": impact_line}
_STAGES = Stages()
_ENCODER = msgspec.json.Encoder()


def work_task(task: Task, desk: Desk) -> Worked:
    """Return the answer lines of a task. Whatever is wrong with a line, the others are worked."""
    began = time.perf_counter()
    moment = task.call.moment
    at_moment = replace(desk, clock=lambda: moment)
    tally = Tally()
    with telling(tally), watched_by(_STAGES):
        answers = [answer_line(line, task.call, at_moment) for line in task.lines]
    tally.count(answers)
    problems = sum(isinstance(one, StreamProblem) for one in answers)
    return Worked(
        body=_ENCODER.encode_lines(answers),
        results=len(answers) - problems,
        problems=problems,
        seconds=time.perf_counter() - began,
        tally=tally,
    )


def answer_line(line: Line, call: Call, desk: Desk) -> msgspec.Struct:
    """Return the answer to a line: what the call's work makes of it, or the problem with it."""
    if line.text is None:
        return problem_line(line, call, too_long())
    visit = Visit(seconds=call.line_seconds)
    visit.begin()
    try:
        with watched_by(visit):
            return WORKS[call.work](line.number, line.text, call, desk)
    except Exception as error:  # one line must not end the answer to the others
        return problem_line(line, call, refusal_of(error, call.request_id))
