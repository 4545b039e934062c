"""An order in which some members are of a supplier's sections: their pieces, hangers, seats and fasteners."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from service.contract.ids import item
from service.contract.report_frame import Beam, Ledger, Rim
from service.framing.frame import Frame
from service.sizing.supplier_sections import Ply
from service.takeoff.items import inches, plies, sides
from service.takeoff.joints import Offer
from service.takeoff.nailing import seats
from service.takeoff.needs import Need
from service.takeoff.parts import Part, distance_in
from service.takeoff.substitutes import coating_of

# Common practice, no source: what a nail held in wood a screw holds in steel, one for one.
SCREW, SCREW_LENGTH_IN = "no_10", 0.75
SEAT_SCREWS = 4  # sawn joist on a steel beam, through its flange (common practice)
# Convention of this service: screws through all plies where nails join plies of 1-1/2 in, as many of them.
PLY_SCREW = 0.25
PLY_SCREW_LENGTHS_IN = {2: 3.5, 3: 5.0}
TAPE = item("isolation_tape", "2in", "butyl")
TAPE_AT_SEAT_FT = 0.5  # on each seat of a steel joist on treated wood (convention of this service)


@dataclass(frozen=True)
class Swapped:
    """Which members are of sections; ``under`` names what stands under beams of sections: posts and footings."""

    members: Mapping[str, Ply] = field(default_factory=dict)
    under: Mapping[str, Ply] = field(default_factory=dict)

    def parts(self, parts: Iterable[Part | Offer]) -> Iterator[Part | Offer]:
        """Yield the pieces, those of swapped members in their section's item."""
        for part in parts:
            ply = self.members.get(part.member)
            yield part if ply is None or isinstance(part, Offer) else part._replace(item=ply.section.item)

    def metal(self, needs: Iterable[Need]) -> Iterator[Need]:
        """Yield the connectors, hangers and seats as wide as what they hold."""
        for need in needs:
            kind = need.item.partition(".")[0]
            ply, held = self.members.get(need.member), self.under.get(need.member)
            if kind == "joist_hanger" and ply is not None:
                yield need._replace(item=_with(need.item, 1, sides(ply.width_in, ply.section.depth_in)))
            elif kind in ("saddle", "post_cap", "pile_cap") and held is not None:
                yield need._replace(item=seat_of(need.item, inches(held.width_in)))
            else:
                yield need

    def fixings(self, needs: Iterable[Need], coating: str) -> Iterator[Need]:
        """Yield the nails; in steel screws instead, between plies of veneer lumber screws through them all."""
        for need in needs:
            ply = self.members.get(need.member)
            if ply is None or not need.item.startswith("nail."):
                yield need
            elif not ply.is_wood:
                yield need._replace(item=steel_screw(coating_of(need.item) or coating))
            elif ply.plies in PLY_SCREW_LENGTHS_IN:
                length = inches(PLY_SCREW_LENGTHS_IN[ply.plies])
                yield need._replace(item=item("structural_screw", inches(PLY_SCREW), length, coating))
            else:
                yield need

    def more(self, frame: Frame, coating: str) -> Iterator[Need]:
        """Yield what sawn lumber has no need of: web stiffeners, screws into steel beams, tape between zinc and wood.

        Tape lies on the seats of steel joists, along ledgers and rims that they end at, and along steel beams.
        Stiffeners stand at each bearing of a joist on a beam (IRC R505.3.4, from memory); hangers hold the web.
        """
        for level in frame.levels:
            beams = {beam.id: beam for beam in level.beams}
            for joists in level.joists:
                ply = self.members.get(joists.id)
                if ply is not None and not ply.is_wood:
                    resting = seats(joists, beams, "dropped")
                    code = item("web_stiffener", inches(ply.section.depth_in), ply.section.protection)
                    yield Need(code, resting, joists.id)
                    yield Need(TAPE, TAPE_AT_SEAT_FT * resting, joists.id, "lineal_ft")
                    ends_ft = sum(map(_whole_ft, level.ledgers)) + sum(map(_whole_ft, level.rims))
                    yield Need(TAPE, ends_ft, joists.id, "lineal_ft")
                else:
                    steel = {name: beam for name, beam in beams.items() if self._is_steel(name)}
                    screws = SEAT_SCREWS * seats(joists, steel, "dropped")
                    yield Need(steel_screw(coating), screws, joists.id)
            for beam in level.beams:
                if self._is_steel(beam.id):
                    yield Need(TAPE, _whole_ft(beam), beam.id, "lineal_ft")

    def _is_steel(self, member: str) -> bool:
        ply = self.members.get(member)
        return ply is not None and not ply.is_wood


def _whole_ft(run: Ledger | Rim | Beam) -> int:
    return math.ceil(distance_in(run.start_ft, run.end_ft) / 12)


NOTHING = Swapped()


def steel_screw(coating: str) -> str:
    """Return the self-drilling screw of a coating.

    >>> steel_screw("hot_dip_galvanized")
    'self_drilling_screw.no_10.3-4in.hot_dip_galvanized'
    """
    return item("self_drilling_screw", SCREW, inches(SCREW_LENGTH_IN), coating)


def _with(code: str, place: int, word: str) -> str:
    parts = code.split(".")
    return ".".join([*parts[:place], word, *parts[place + 1 :]])


def seat_of(code: str, width: str) -> str:
    """Return a seat as wide as the beam in it, where it was for so many plies of sawn lumber.

    >>> seat_of("post_cap.6x6.3ply.stainless_steel", "5-1-4in")
    'post_cap.6x6.5-1-4in.stainless_steel'
    """
    words = {plies(count) for count in (1, 2, 3)}
    return ".".join(width if part in words else part for part in code.split("."))
