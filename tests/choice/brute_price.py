"""What a frame of a rectangular deck costs, piece by piece from the lines of the price book, and how much it gives.

Plain arithmetic of its own: nothing of the search's prices. What no arithmetic here could know is asked for from the
service: which fasteners a ledger needs, what stands in for an item that is out of stock, footings by the comparison.
Amounts are in 1/10000 of the currency.
"""

from __future__ import annotations

import csv
import itertools
import math
from decimal import Decimal
from importlib.resources import files
from typing import Any, NamedTuple

from choice.brute_decks import stands
from choice.brute_shop import Shop, to_sixteenth
from choice.brute_space import LEDGER_IN, RIM_IN, Frame, depth_in

from service.choice.level.case import Case
from service.choice.level.deck_facts import deck_facts
from service.choice.level.demands import demand_of
from service.choice.level.house_side import ledgers_of
from service.comparison.compare import compare
from service.comparison.recommend import choose_method
from service.contract.report_frame import Ledger
from service.framing.members import Members, build, numbered
from service.sizing.calculated_species import all_on_deck
from service.timber.refusal import NoRule
from service.timber.sections import section

LAP_IN = 3.0
STAND_OFF_IN, PIER_IN, SHORTEST_IN, NEAR_SOIL_IN = 1.0, 3.0, 4.0, 6.0


class Priced(NamedTuple):
    """The parts of what a frame costs, without its footings."""

    lumber: int
    hardware: int
    labour: int
    missing: int

    @property
    def total(self) -> int:
        """All of it."""
        return self.lumber + self.hardware + self.labour


def minutes_of_work() -> dict[str, int]:
    """The table of framing minutes, as it is published."""
    text = (files("service") / "rulebooks" / "framing" / "framing_minutes.csv").read_text("utf-8")
    return {row["work"]: int(row["minutes"]) for row in csv.DictReader(text.splitlines())}


class Count:
    """Sums of one frame."""

    def __init__(self, shop: Shop, minutes: dict[str, int]) -> None:
        self.shop, self.table = shop, minutes
        self.lumber = self.hardware = self.minutes = self.missing = 0

    def board(self, item: str, length_in: float, count: int, work: str) -> None:
        """Add boards of one length."""
        each = self.shop.board(item, to_sixteenth(length_in))
        self.lumber += count * (each or 0)
        self.missing += each is None
        self.minutes += count * self.table[work]

    def each(self, item: str, count: int, work: str | None = None) -> None:
        """Add connectors of one kind."""
        if count:
            price = self.shop.one(item)
            self.hardware += count * (price or 0)
            self.missing += price is None
            self.minutes += count * self.table[work] if work else 0


class Pricing:
    """The prices of the frames of one deck."""

    def __init__(self, case: Case) -> None:
        self.case, self.shop, self.table = case, Shop(case), minutes_of_work()
        self._ledgers: dict[tuple[Any, ...], Ledger | None] = {}
        self._footings: dict[Any, tuple[int | None, int]] = {}

    def priced(self, frame: Frame) -> Priced:
        """Everything but the footings."""
        count = Count(self.shop, self.table)
        self._joists(frame, count)
        self._edges(frame, count)
        self._beams(frame, count)
        self._posts(frame, count)
        hour = self._hour()
        labour = math.floor(Decimal(count.minutes) * hour / 60 + Decimal("0.5"))
        return Priced(count.lumber, count.hardware, labour, count.missing)

    def _hour(self) -> Decimal:
        """What an hour of one person is worth, in whole 1/10000."""
        crew = self.case.spec.crew
        if crew is None:
            return Decimal(0)
        day, hourly = crew.crew_day_value, crew.hourly_rate
        in_day = crew.time_counted == "day_value_includes_wages" and day is not None
        if hourly is not None and not in_day:
            return Decimal(hourly) * 10000
        return (Decimal(day or 0) * 10000 / (8 * crew.size)).to_integral_value()

    def _item(self, kind: str, size: str, use: str) -> str:
        return f"{kind}.{size}.{self.case.criteria.species}.{self.case.criteria.grade}.{use}"

    def _above(self, size: str, corners: list[tuple[float, float]], frame: Frame) -> str:
        """The treatment of joists and rims: for ground contact where their bottom is within 6 in of the soil."""
        level = self.case.level
        bottom = level.surface_height_in - level.decking.thickness_in - depth_in(size)
        axes = frame.layout.region.axes
        highest = max(self.case.ground(*axes.deck_ft(u, v)) for u, v in corners)
        return "uc4a" if bottom - highest < NEAR_SOIL_IN else "uc3b"

    def _ends(self, frame: Frame) -> tuple[float, float]:
        """Where joists begin and end along their length."""
        thick = frame.rows.width_in if frame.rows.placement == "flush" else RIM_IN
        start = LEDGER_IN if frame.place.low == "ledger" else frame.place.face_in + thick
        return start, frame.place.along_in - thick

    def places(self, frame: Frame) -> list[float]:
        """Where joists stand across: at both ends, and from the corner on every so many inches between."""
        first, last = frame.place.starts_in + 0.75, frame.place.across_in - 0.75
        grid = [frame.spacing_in * k for k in range(1, int(frame.place.across_in / frame.spacing_in) + 2)]
        lines = [u for u in grid if first - 0.75 < u < last + 0.75]
        if lines and last - lines[-1] < 3:
            lines[-1] = ((lines[-2] if len(lines) > 1 else first) + last) / 2
        if lines and lines[0] - first < 3:
            lines[0] = (first + (lines[1] if len(lines) > 1 else last)) / 2
        return [first, *lines, last]

    def _joists(self, frame: Frame, count: Count) -> None:
        start, end = self._ends(frame)
        places, rows = self.places(frame), frame.rows.at_in
        corners = [(u, v) for u in (places[0], places[-1]) for v in (start, end)]
        item = self._item("lumber", frame.joist, self._above(frame.joist, corners, frame))
        first = 0 if frame.place.low == "ledger" else 1
        lap_at = list(rows[first:-1]) if end - start > self.case.boards.joist(frame.joist) else []
        cuts = [start, *lap_at, end]
        for n, (a, b) in enumerate(itertools.pairwise(cuts)):
            laps = (n > 0) + (n < len(cuts) - 2)
            count.board(item, b - a + laps * LAP_IN / 2, len(places), "joist")
        self._hung(frame, count, len(places))
        self._tied(frame, count, len(places), len(lap_at))

    def _hung(self, frame: Frame, count: Count, joists: int) -> None:
        """A hanger at a ledger and at a flush beam; at the ends of what it hangs on with concealed flanges."""
        hangs = (frame.place.low == "ledger") + (
            len(frame.rows.at_in) if frame.rows.placement == "flush" else 0
        )
        code = f"joist_hanger.{frame.joist}.1ply.{self.case.criteria.coating}"
        places = self.places(frame)
        lows = (frame.place.starts_in, frame.place.across_in)
        tight = sum(min(u - lows[0], lows[1] - u) < 0.75 + 1.5 for u in places)
        count.each(f"{code}.concealed_flange", hangs * tight, "hanger")
        count.each(code, hangs * (joists - tight), "hanger")

    def _tied(self, frame: Frame, count: Count, joists: int, laps: int) -> None:
        """A tie where a joist bears on a beam, one more at a lap, and at a ledger that a cantilever lifts it off."""
        if frame.rows.placement == "flush":
            return
        seats = len(frame.rows.at_in) + laps
        lifted = frame.place.low == "ledger" and len(frame.rows.at_in) == 1 and self._cantilevers(frame)
        count.each(f"uplift_tie.1ply.{self.case.criteria.coating}", joists * (seats + lifted), "uplift_tie")

    def _cantilevers(self, frame: Frame) -> bool:
        past = frame.place.along_in - frame.rows.at_in[-1]
        return past - frame.rows.width_in / 2 > RIM_IN + 1e-9

    def _edges(self, frame: Frame, count: Count) -> None:
        """A rim at each end where joists neither hang on the house nor on a flush beam; the ledger's boards."""
        place, length = frame.place, frame.place.across_in - frame.place.starts_in
        if frame.rows.placement == "dropped":
            lines = [place.along_in - RIM_IN / 2]
            lines += [] if place.low == "ledger" else [place.face_in + RIM_IN / 2]
            for v in lines:
                corners = [(place.starts_in, v), (place.across_in, v)]
                item = self._item("lumber", frame.joist, self._above(frame.joist, corners, frame))
                self._run(item, length, count, "rim")
        if place.low == "ledger":
            self._ledger(frame, count)

    def _run(self, item: str, length_in: float, count: Count, work: str) -> None:
        parts = math.ceil(length_in / self.shop.longest_in(item) - 1e-9)
        count.board(item, length_in / parts, parts, work)

    def _ledger(self, frame: Frame, count: Count) -> None:
        key = (frame.joist, frame.spacing_in, frame.rows.at_in[0])
        if key not in self._ledgers:
            self._ledgers[key] = self._judged_ledger(frame)
        ledger, coating = self._ledgers[key], self.case.criteria.coating
        if ledger is None:
            return
        item = f"lumber.{ledger.size}.{ledger.species}.{ledger.grade}.uc4a"
        self._run(item, frame.place.across_in, count, "ledger")
        if ledger.fastener_count and "." in (ledger.fastener or ""):
            count.each(ledger.fastener, ledger.fastener_count, "ledger_fastener")
            heads = 1 if ledger.fastener.startswith("lag_screw") else 2
            count.each(f"washer.1-2in.{coating}", heads * ledger.fastener_count)
        else:
            count.each("service.engineer.ledger_anchors", 1)
        self._flashing(frame.place.across_in, coating, count)
        for device in ledger.lateral_devices:
            count.each(f"lateral_device.{device.capacity_lb:.0f}lb.{coating}", 1)

    def _flashing(self, left_in: float, coating: str, count: Count) -> None:
        """Pieces of 10 ft that lap 4 in, and tape by the foot; what a book has not costs nothing here."""
        tape, flashing = "flashing_tape.4in.butyl", f"ledger_flashing.2x4in.{coating}"
        count.hardware += math.ceil(left_in / 12) * (self.shop.one(tape) or 0)
        while left_in > 0:
            piece = min(left_in, 120.0)
            count.hardware += self.shop.board(flashing, to_sixteenth(piece)) or 0
            left_in -= piece if piece == left_in else 116.0

    def _judged_ledger(self, frame: Frame) -> Ledger | None:
        members = self.members(frame)
        case, layout = self.case, frame.layout
        (found,) = ledgers_of(case.ask(layout.region), case.spec, layout, members.numbers, members.shares)
        return found.ledger

    def _beams(self, frame: Frame, count: Count) -> None:
        length = frame.place.across_in - frame.place.starts_in
        item = self._item("lumber", frame.beam, "uc4a")
        for posts in frame.posts:
            count.minutes += self.table["beam"]
            for boards in plies_of(length, posts, frame.plies, self.case.boards.beam(frame.beam)):
                for board in boards:
                    count.board(item, board, 1, "beam_ply")

    def bottom_in(self, frame: Frame) -> float:
        """The height of the beams' bottom."""
        level = self.case.level
        top = level.surface_height_in - level.decking.thickness_in
        return (
            top - depth_in(frame.beam) - (depth_in(frame.joist) if frame.rows.placement == "dropped" else 0)
        )

    def feet_in(self, frame: Frame) -> list[float]:
        """The room over the pier at every post, in; under zero there is none."""
        axes, bottom = frame.layout.region.axes, self.bottom_in(frame)
        return [
            bottom - self.case.ground(*axes.deck_ft(frame.place.starts_in + x, v)) - PIER_IN
            for v, posts in zip(frame.rows.at_in, frame.posts, strict=True)
            for x in posts
        ]

    def has_room(self, frame: Frame) -> bool:
        """Whether beams clear the ground, and the piers on it, from end to end: else it is no frame to build."""
        axes, bottom = frame.layout.region.axes, self.bottom_in(frame)
        ends = [(u, v) for v in frame.rows.at_in for u in (frame.place.starts_in, frame.place.across_in)]
        return all(bottom - self.case.ground(*axes.deck_ft(*at)) >= PIER_IN - 1e-9 for at in ends)

    def _posts(self, frame: Frame, count: Count) -> None:
        size = frame.layout.post_size
        cap = f"post_cap.{size}.{_word(frame.beam, frame.plies)}.{self.case.criteria.coating}"
        for height in self.feet_in(frame):
            if height >= SHORTEST_IN:
                count.board(self._item("post", size, "uc4b"), height - STAND_OFF_IN, 1, "post")
                count.each(cap, 1)

    def members(self, frame: Frame) -> Members:
        """The members as the checks see them."""
        (numbers,) = numbered([frame.layout])
        return build(self.case.setting(), frame.layout, numbers)

    def footings(self, frame: Frame) -> tuple[int | None, int]:
        """What the footings cost by the comparison, and how they stand there; remembered by all they carry."""
        case, layout = self.case, frame.layout
        sizes = (layout.post_size, layout.beam_plies)
        members = self.members(frame)
        site = (case.ground, case.walls)
        demands = tuple(
            demand_of(case.setting().owner, one, sizes, layout.attached, site) for one in members.stands
        )
        if demands not in self._footings:
            found = compare(
                demands, case.criteria, case.spec, case.context.prices, case.context.facts, deck_facts([case])
            )
            method = choose_method(found, case.spec.foundation.method)
            cost = method.cost if method else None
            stand = stands(method, case.spec.foundation.method)
            self._footings[demands] = (None if cost is None else int(cost.likely * 10000), stand)
        return self._footings[demands]

    def deflection_in(self, frame: Frame) -> float:
        """The most a joist gives at mid-span, with its beams': half behind a ledger, or the mean of the two worst."""
        supports = [*((LEDGER_IN,) if frame.place.low == "ledger" else ()), *frame.rows.at_in]
        longest = max(b - a for a, b in itertools.pairwise(supports))
        load = self.case.criteria.variable_psf
        joists = _simple(load * frame.spacing_in / 144, longest, self._stiff(frame.joist, 1))
        stiff = self._stiff(frame.beam, frame.plies)
        beams = sorted(
            _simple(load * share / 12, max(b - a for a, b in itertools.pairwise(posts)), stiff)
            for share, posts in zip(self._shares_ft(frame, supports), frame.posts, strict=True)
        )
        hung = frame.place.low == "ledger"
        return joists + (sum(beams[-2:]) / 2 if hung else beams[-1])

    def _shares_ft(self, frame: Frame, supports: list[float]) -> list[float]:
        """What each row carries of 1 psf, ft, by statics: the floor from outline to outline on two supports."""
        uses = frame.layout.arrangement.lines[0][2].reactions_plf(1.0)
        if len(supports) == 2:
            a, b = supports
            low = 0.0 if frame.place.low != "ledger" else a
            before, span, past = a - low, b - a, frame.place.along_in - b
            far = ((span + past) ** 2 - before**2) / (2 * span)
            near = before + span + past - far
            return [far / 12] if frame.place.low == "ledger" else [near / 12, far / 12]
        return list(uses[1:] if frame.place.low == "ledger" else uses)

    def _stiff(self, size: str, plies: int) -> float:
        criteria = self.case.criteria
        assert criteria.timber is not None
        piece = section(size, plies)
        assert not isinstance(piece, NoRule)
        kind = "snow" if criteria.snow_psf > criteria.live_psf else "live"
        values = all_on_deck(criteria.timber, criteria.species, criteria.grade, piece, kind, 1.0, "")
        assert not isinstance(values, NoRule)
        wide = (1.5 if size[0] == "2" else float(size[0]) - 0.5) * plies
        return min(one.e_psi for one in values) * wide * depth_in(size) ** 3 / 12


def _word(beam: str, plies: int) -> str:
    return f"{plies}ply" if beam[0] == "2" else f"{beam[0]}x_solid"


def _simple(load_lb_in: float, span_in: float, stiff: float) -> float:
    return 5 * load_lb_in * span_in**4 / (384 * stiff)


def plies_of(length_in: float, posts: tuple[float, ...], plies: int, stock_in: float) -> list[list[float]]:
    """The boards of each ply: joined as seldom as can be, over posts between the ends, half the plies at one post.

    Of ways with as few joints the one told first by its joints from the beam's start, each as ply and post: the tie
    rule that ``ply_splices`` publishes, found here by trying every way.
    """
    between = range(1, len(posts) - 1) if plies > 1 else ()
    for count in range(len(between) + 1):
        fitting = []
        for at in itertools.combinations(between, count):
            for which in itertools.product(range(plies), repeat=count):
                joints = tuple(zip(which, at, strict=True))
                boards = [_boards_of(length_in, posts, joints, ply) for ply in range(plies)]
                if max(map(max, boards)) <= stock_in:
                    fitting.append((joints, boards))
        if fitting:
            return min(fitting)[1]
    return [[length_in]] * plies


def _boards_of(
    length_in: float, posts: tuple[float, ...], joints: tuple[tuple[int, int], ...], ply: int
) -> list[float]:
    ends = [0.0, *(posts[at] for which, at in joints if which == ply), length_in]
    return [b - a for a, b in itertools.pairwise(ends)]
