"""Where beams stand: on posts, or in saddles on their piers; whatever the beam is under."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.report_frame import Post
from service.framing.heights import CAP_SEAT_IN, Foot


@dataclass(frozen=True)
class Stand:
    """One place where a beam stands: its numbers, its load by statics, and the load its footing is sized for."""

    beam_number: int
    number: int
    beam: str
    x_ft: float
    y_ft: float
    grade_in: float
    load_lb: float
    sizing_load_lb: float
    foot: Foot

    @property
    def place(self) -> str:
        """The numbers that its post and its footing share."""
        return f"{self.beam_number}-{self.number}"

    @property
    def on_post(self) -> bool:
        """Whether a post stands here."""
        return self.foot.standing == "post"


@dataclass(frozen=True)
class Owner:
    """Whose beams they are: a level, or a stair that leaves one, with what its marks begin with, and its lumber."""

    name: str
    level: str
    species: str
    grade: str
    mark: str = ""


def post_of(owner: Owner, size: str, stand: Stand) -> Post:
    """Return the post of one stand of a beam, of the size given; its base and cap come with the connections."""
    top_in = stand.foot.pier_top_in + stand.foot.height_in
    return Post(
        id=f"{owner.name}.post-{stand.place}",
        mark=f"{owner.mark}P{stand.place}",
        level=owner.level,
        beam=stand.beam,
        size=size,
        species=owner.species,
        grade=owner.grade,
        x_ft=stand.x_ft,
        y_ft=stand.y_ft,
        height_in=stand.foot.height_in,
        cut_length_in=stand.foot.cut_length_in,
        load_lb=stand.load_lb,
        base=None,
        cap=None,
        top_height_in=top_in,
        bottom_height_in=top_in - CAP_SEAT_IN - stand.foot.cut_length_in,
    )
