"""Item codes: one grammar for price books and orders, kind by kind, and the makers of the codes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from service.contract.ids import item
from service.sizing.lumber import NATURALLY_DURABLE

DRESSED_BOARDS: dict[tuple[float, float], str] = {
    (1.0, 5.5): "5-4x6", (1.0, 3.5): "5-4x4", (0.75, 5.5): "1x6", (0.75, 3.5): "1x4",
    (1.5, 5.5): "2x6", (1.5, 3.5): "2x4", (0.75, 11.25): "1x12",
}  # fmt: skip


@dataclass(frozen=True)
class ItemKind:
    """The form of the codes of one kind: attributes in their order, then those that may be left out."""

    kind: str
    attributes: tuple[str, ...]
    optional: tuple[str, ...]
    unit: str
    has_lengths: bool
    example: str


def _kind(
    kind: str, attributes: str, unit: str, example: str, *, optional: str = "", has_lengths: bool = False
) -> ItemKind:
    return ItemKind(kind, tuple(attributes.split()), tuple(optional.split()), unit, has_lengths, example)


GRAMMAR: tuple[ItemKind, ...] = (
    _kind("lumber", "size species grade treatment", "piece", "lumber.2x10.southern_pine.no_2.uc3b",
          has_lengths=True),
    _kind("post", "size species grade treatment", "piece", "post.6x6.southern_pine.no_2.uc4b",
          has_lengths=True),
    _kind("laminated_veneer_lumber", "size class treatment", "piece",
          "laminated_veneer_lumber.1-3-4x9-1-4.2_0e.uc3b", has_lengths=True),
    _kind("light_gauge_steel", "section steel zinc", "piece", "light_gauge_steel.925s200-54.50ksi.g90",
          has_lengths=True),
    _kind("decking", "size material", "piece", "decking.5-4x6.wood", has_lengths=True),
    _kind("fascia", "size material", "piece", "fascia.1x12.composite", has_lengths=True),
    _kind("guard", "size part material", "piece", "guard.2x2.baluster.wood", has_lengths=True),
    _kind("stair_tread", "size material", "piece", "stair_tread.2x12.wood", has_lengths=True),
    _kind("lag_screw", "diameter length coating", "each", "lag_screw.1-2in.4in.hot_dip_galvanized"),
    _kind("bolt", "diameter length coating", "each", "bolt.1-2in.5in.hot_dip_galvanized"),
    _kind("washer", "diameter coating", "each", "washer.1-2in.hot_dip_galvanized"),
    _kind("ledger_fastener", "form length coating", "each",
          "ledger_fastener.bolt_1-2in.5in.hot_dip_galvanized"),
    _kind("structural_screw", "diameter length coating", "each",
          "structural_screw.1-4in.4in.hot_dip_galvanized"),
    _kind("decking_screw", "gauge length coating", "each",
          "decking_screw.no_8.2-1-2in.hot_dip_galvanized"),
    _kind("nail", "size coating", "each", "nail.10d.hot_dip_galvanized"),
    _kind("joist_hanger", "size plies coating", "each", "joist_hanger.2x10.1ply.hot_dip_galvanized",
          optional="form"),
    _kind("web_stiffener", "depth zinc", "each", "web_stiffener.9-1-4in.g90"),
    _kind("self_drilling_screw", "gauge length coating", "each",
          "self_drilling_screw.no_10.3-4in.hot_dip_galvanized"),
    _kind("isolation_tape", "width material", "lineal_ft", "isolation_tape.2in.butyl"),
    _kind("uplift_tie", "plies coating", "each", "uplift_tie.1ply.hot_dip_galvanized"),
    _kind("post_base", "size coating", "each", "post_base.6x6.hot_dip_galvanized"),
    _kind("post_cap", "size plies coating", "each", "post_cap.6x6.2ply.hot_dip_galvanized"),
    _kind("saddle", "plies coating", "each", "saddle.2ply.hot_dip_galvanized"),
    _kind("lateral_device", "capacity coating", "each", "lateral_device.1500lb.hot_dip_galvanized"),
    _kind("guard_post_connector", "form coating", "each",
          "guard_post_connector.tension_1800lb.hot_dip_galvanized"),
    _kind("stringer_connector", "form coating", "each", "stringer_connector.sloped.hot_dip_galvanized"),
    _kind("framing_angle", "length coating", "each", "framing_angle.5in.hot_dip_galvanized"),
    _kind("handrail_bracket", "form coating", "each", "handrail_bracket.post.hot_dip_galvanized"),
    _kind("anchor", "diameter length coating", "each", "anchor.1-2in.10in.hot_dip_galvanized"),
    _kind("ledger_flashing", "profile coating", "piece", "ledger_flashing.2x4in.hot_dip_galvanized",
          has_lengths=True),
    _kind("flashing_tape", "width material", "roll", "flashing_tape.4in.butyl"),
    _kind("preservative", "substance measure", "each", "preservative.copper_naphthenate.1qt"),
    _kind("concrete", "supply measure", "bag", "concrete.bag.60lb"),
    _kind("form", "diameter form", "piece", "form.12in.tube", has_lengths=True),
    _kind("reinforcement", "size grade", "piece", "reinforcement.no_4.grade_40", has_lengths=True),
    _kind("aggregate", "material measure", "each", "aggregate.crushed_stone.bag_50lb"),
    _kind("pier_block", "size form", "each", "pier_block.11in.precast"),
    _kind("helical_pile", "shaft helices", "each", "helical_pile.round_2-7-8in.helix_10in"),
    _kind("pile", "shaft form", "each", "pile.round_8in.timber"),
    _kind("pile_extension", "shaft length", "each", "pile_extension.round_2-7-8in.5ft"),
    _kind("pile_cap", "shaft seat coating", "each", "pile_cap.round_2-7-8in.6x6.hot_dip_galvanized"),
    _kind("rental", "machine period", "day", "rental.auger.day"),
    _kind("service", "work scope", "each", "service.helical_pile.install"),
    _kind("fee", "work cause", "lot", "fee.ready_mix.short_load"),
    _kind("labour", "trade period", "hour", "labour.carpenter.hour"),
)  # fmt: skip
KINDS: dict[str, ItemKind] = {kind.kind: kind for kind in GRAMMAR}
# Forms that are one piece and not cut from a length: of a bell, named by its base, with the shaft over it.
WHOLE_FORMS = ".bell"
ORDER: dict[str, int] = {kind.kind: place for place, kind in enumerate(GRAMMAR)}


def is_item(code: str) -> bool:
    """Return whether a code is of a known kind and has as many parts as the kind's grammar.

    >>> is_item("joist_hanger.2x10.1ply.hot_dip_galvanized"), is_item("joist_hanger.2x10"), is_item("base")
    (True, False, False)
    """
    kind, *parts = code.split(".")
    form = KINDS.get(kind)
    if form is None:
        return False
    return 0 <= len(parts) - len(form.attributes) <= len(form.optional)


def has_lengths(code: str) -> bool:
    """Return whether an item is cut from stock lengths.

    >>> has_lengths("form.12in.tube"), has_lengths("form.24in.bell")
    (True, False)
    """
    return KINDS[code.partition(".")[0]].has_lengths and not code.endswith(WHOLE_FORMS)


def inches(length_in: float) -> str:
    """Return a length as item codes write it.

    >>> inches(0.5), inches(3.5), inches(4.0), inches(2.875)
    ('1-2in', '3-1-2in', '4in', '2-7-8in')
    """
    return f"{_mixed(length_in)}in"


def _mixed(length_in: float) -> str:
    whole, part = divmod(Fraction(round(length_in * 16), 16), 1)
    words = [str(whole)] if whole or not part else []
    return "-".join([*words, *([f"{part.numerator}-{part.denominator}"] if part else [])])


def sides(width_in: float, depth_in: float) -> str:
    """Return the size word of a member of any actual size.

    >>> sides(1.75, 9.25)
    '1-3-4x9-1-4'
    """
    return f"{_mixed(width_in)}x{_mixed(depth_in)}"


def sides_in(size: str) -> tuple[float, float]:
    """Return the actual width and depth that a size word of ``sides`` names, in.

    >>> sides_in("1-3-4x9-1-4"), sides_in("2x11-1-4")
    ((1.75, 9.25), (2.0, 11.25))
    """
    width, depth = (_plain(word) for word in size.split("x"))
    return width, depth


def _plain(word: str) -> float:
    parts = [int(one) for one in word.split("-")]
    whole = parts[0] if len(parts) != 2 else 0
    return whole + (parts[-2] / parts[-1] if len(parts) > 1 else 0.0)


def plies(count: int) -> str:
    """Return a number of plies as item codes write it.

    >>> plies(2)
    '2ply'
    """
    return f"{count}ply"


def treatment(
    species: str, *, ground_contact: bool, structural_post: bool = False, hard_to_replace: bool = False
) -> str:
    """Return the AWPA use category to order (from memory: U1 as trade guides give it).

    UC3B above ground; UC4A within 6 in of soil or hard to replace; UC4B for posts, hard to replace and near the
    ground. Naturally durable heartwood is ordered untreated where it is clear of the ground.

    >>> treatment("southern_pine", ground_contact=False), treatment("redwood", ground_contact=False)
    ('uc3b', 'none')
    >>> treatment("southern_pine", ground_contact=False, hard_to_replace=True)
    'uc4a'
    """
    if species in NATURALLY_DURABLE and not ground_contact:
        return "none"
    if structural_post:
        return "uc4b"
    return "uc4a" if ground_contact or hard_to_replace else "uc3b"


def lumber(size: str, species: str, grade: str, use: str) -> str:
    """Return the code of framing lumber of a nominal size and treatment ``use``."""
    return item("lumber", size, species, grade, use)


def lumber_item(size: str, species: str, grade: str) -> str:
    """Return the code of framing lumber clear of the ground.

    >>> lumber_item("2x10", "southern_pine", "no_2")
    'lumber.2x10.southern_pine.no_2.uc3b'
    """
    return lumber(size, species, grade, treatment(species, ground_contact=False))


def post(size: str, species: str, grade: str, use: str) -> str:
    """Return the code of a post of a nominal size and treatment ``use``."""
    return item("post", size, species, grade, use)


def board_size(thickness_in: float, width_in: float) -> str:
    """Return the size word of a board: its nominal size, or its actual one where it has no nominal name.

    >>> board_size(1.0, 5.5), board_size(0.9375, 5.375)
    ('5-4x6', '15-16inx5-3-8in')
    """
    named = DRESSED_BOARDS.get((thickness_in, width_in))
    return named or f"{inches(thickness_in)}x{inches(width_in)}"


def decking(thickness_in: float, width_in: float, material: str) -> str:
    """Return the code of a deck board by its actual size.

    >>> decking(1.0, 5.5, "wood")
    'decking.5-4x6.wood'
    """
    return item("decking", board_size(thickness_in, width_in), material)
