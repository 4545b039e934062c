"""Metal connectors and their bolts, by rule from the members."""

from __future__ import annotations

from collections.abc import Iterator

from service.connections.guard_anchorage import post_hardware
from service.connections.posts import base_item, cap_item, saddle_item
from service.connections.stairs import stringer_hanger
from service.contract.ids import item
from service.contract.report_frame import Footing, GuardPost, JoistLine, Joists, Ledger, Level, Stair
from service.framing.frame import Frame
from service.takeoff.framing_parts import BURIED_METHODS
from service.takeoff.groundwork import BLOCK_METHOD
from service.takeoff.hangers import hangers
from service.takeoff.items import inches, is_item, plies
from service.takeoff.nailing import seats
from service.takeoff.needs import Need
from service.takeoff.stair_levels import framed_levels

HALF_INCH = inches(0.5)
# A buried post stands on its pad, held by the soil; a precast block has a socket.
WITHOUT_HARDWARE = (*BURIED_METHODS, BLOCK_METHOD)


def connectors(frame: Frame, coating: str) -> Iterator[Need]:
    """Yield every connector of a frame with its bolts, screws and washers."""
    for level in framed_levels(frame):
        yield from _joist_connectors(level, coating)
        for ledger in level.ledgers:
            yield from ledger_fixings(ledger, coating)
        for brace in level.braces:
            for name in brace.hardware:
                yield Need(name, 1, brace.id)
        for guard in level.guards:
            for post in guard.posts:
                yield from guard_post_fixings(post, coating)
    yield from _post_connectors(frame, coating)
    for stair in frame.stairs:
        yield from _stair_connectors(stair, coating)


def _joist_connectors(level: Level, coating: str) -> Iterator[Need]:
    beams = {beam.id: beam for beam in level.beams}
    for joists in level.joists:
        yield from hangers(joists, level, coating)
        tie = item("uplift_tie", plies(joists.plies), coating)
        on_beams = seats(joists, beams, "dropped") / joists.plies
        yield Need(tie, on_beams + _ledger_ties(joists, level), joists.id)


def _ledger_ties(joists: Joists, level: Level) -> int:
    """How many joist ends a loaded cantilever would lift off a ledger: a hanger holds them only downward."""
    ledgers = {ledger.id for ledger in level.ledgers}
    dropped = {beam.id for beam in level.beams if beam.placement == "dropped"}
    pairs = (pair for line in joists.lines for pair in _tipped(line))
    return sum(over in dropped and behind in ledgers for over, behind in pairs)


def _tipped(line: JoistLine) -> Iterator[tuple[str, str]]:
    """The support each cantilever of a joist tips over, and the one behind it that it would lift off."""
    names = [support.member for support in line.supports]
    if len(names) > 1 and line.cantilever_yard_in > 0:
        yield names[-1], names[-2]
    if len(names) > 1 and line.cantilever_house_in > 0:
        yield names[0], names[1]


def ledger_fixings(ledger: Ledger, coating: str) -> Iterator[Need]:
    """Yield a ledger's fasteners with washers, and its lateral devices.

    A lag screw takes a washer under its head, a bolt one at each end.
    """
    if ledger.fastener_count and is_item(ledger.fastener):
        yield Need(ledger.fastener, ledger.fastener_count, ledger.id)
        washers = 1 if ledger.fastener.startswith("lag_screw") else 2
        yield Need(item("washer", HALF_INCH, coating), washers * ledger.fastener_count, ledger.id)
    else:
        because = "no table gives the fasteners of this ledger; an engineer designs them"
        yield Need("service.engineer.ledger_anchors", 1, ledger.id, "lot", because)
    for device in ledger.lateral_devices:
        yield Need(item("lateral_device", f"{device.capacity_lb:.0f}lb", coating), 1, ledger.id)


def guard_post_fixings(post: GuardPost, coating: str) -> Iterator[Need]:
    """Yield what fixes a guard post: what the frame names, else the usual set of its mount."""
    for name in post.hardware or post_hardware(post.mount, coating):
        yield Need(name, 1, post.id)


def _post_connectors(frame: Frame, coating: str) -> Iterator[Need]:
    beams = {beam.id: beam for level in framed_levels(frame) for beam in level.beams}
    posts = {post.id: post for post in frame.posts}
    for post in frame.posts:
        beam = beams.get(post.beam)
        if post.cap:
            yield Need(post.cap, 1, post.id)
        elif beam:
            yield Need(cap_item(post.size, beam.size, beam.plies, coating), 1, post.id)
        else:
            because = "what this post carries is not known, so its cap is not chosen"
            yield Need(f"post_cap.{post.size}", 1, post.id, because=because)
    for footing in frame.footings:
        post_on_it = posts.get(footing.post or "")
        carried = beams.get(footing.serves) or beams.get(_beam_over(footing))
        if post_on_it:
            base = post_on_it.base or base_item(post_on_it.size, coating)
            yield from _foot(footing, post_on_it.size, base, coating)
        elif carried:
            saddle = saddle_item(carried.size, carried.plies, coating)
            yield from _foot(footing, saddle.split(".")[1], saddle, coating)


def _beam_over(footing: Footing) -> str:
    """The beam a footing shares its number with: one without a post may serve what the beam was made for."""
    return footing.id.replace(".footing-", ".beam-").rpartition("-")[0]


def _foot(footing: Footing, seat: str, holder: str, coating: str) -> Iterator[Need]:
    """What holds a post, or a beam where there is no post, on its footing."""
    if footing.pile:
        yield Need(item("pile_cap", footing.pile.shaft, seat, coating), 1, footing.id)
    elif footing.method not in WITHOUT_HARDWARE:
        yield Need(holder, 1, footing.id)
        yield Need(item("anchor", HALF_INCH, inches(10), coating), 1, footing.id)


def _stair_connectors(stair: Stair, coating: str) -> Iterator[Need]:
    """A connector at the head of each stringer that hangs, a tie where one stands on a beam under it."""
    hung = stair.flights if stair.head == "hung" else stair.flights[1:]
    yield Need(stringer_hanger(coating), sum(flight.stringers for flight in hung), stair.id)
    ties = sum(flight.stringers * (flight.bays - 1) for flight in stair.flights)
    if stair.head == "own_beam":
        ties += stair.flights[0].stringers
    yield Need(item("uplift_tie", plies(1), coating), ties, stair.id)
