"""Who watches a design is told its stages, may end it, and changes nothing of the answer."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import msgspec
import pytest

from service.choice.level.watch import STAGES, Together, Watch
from service.pipeline import design
from service.web.resolve import context_of, read_spec
from tests.contract.api import SMALLEST, desk


class Told(Watch):
    """Writes down what it is told; ends the design when it was asked so often."""

    def __init__(self, most: int = 10**9) -> None:
        self.stages: list[str] = []
        self.asked, self.most = 0, most

    @contextmanager
    def stage(self, name: str) -> Iterator[None]:
        self.stages.append(name)
        yield
        self.stages.append(f"/{name}")

    def go_on(self) -> None:
        self.asked += 1
        if self.asked > self.most:
            raise TimeoutError


def designed(watch: Watch | None = None) -> bytes:
    spec = read_spec(msgspec.json.encode({**SMALLEST, "price_book": "brindlemoor-yard"}), desk())
    context = context_of(spec, desk())
    context = context if watch is None else replace(context, watch=watch)
    return msgspec.json.encode(design(spec, context, with_wishes=True))


def test_a_watch_is_told_every_stage_once_and_changes_nothing() -> None:
    one, other = Told(), Told()
    assert designed(Together((one, other))) == designed()
    assert one.stages == [part for name in STAGES for part in (name, f"/{name}")]
    assert other.stages == one.stages
    assert one.asked == other.asked > 100


@pytest.mark.parametrize("most", [0, 50])
def test_a_watch_ends_a_design(most: int) -> None:
    watch = Told(most)
    with pytest.raises(TimeoutError):
        designed(watch)
    assert watch.asked == most + 1
