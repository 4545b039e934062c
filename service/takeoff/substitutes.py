"""What may be ordered in place of an item that cannot be had: the same or better, never smaller or weaker.

Same species always, since spans were read for it, and never less treated. What is named first is the nearest.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from service.takeoff.items import KINDS, inches, is_item

# Rising classes. Stainless stands up to salt where galvanizing does not (IRC R317.3); treatments: AWPA U1, from memory.
COATINGS = ("zinc_plated", "hot_dip_galvanized", "stainless_steel")
TREATMENTS = ("uc3b", "uc4a", "uc4b")
# Of one species and size a higher grade is never weaker (NDS Supplement, Tables 4A and 4B).
GRADES = ("no_2", "no_1", "no_1_and_better", "select_structural")
# How much longer each fastener may be, in, and still do its work where it goes (convention of this service): a lag
# reaches farther past the band, a ledger bolt still draws up, a deck screw still ends in the joist.
LONGER_BY_IN = {"lag_screw": 1.0, "ledger_fastener": 0.5, "decking_screw": 0.5}
LENGTH_STEP_IN = Fraction(1, 2)
CLASSES = {"coating": COATINGS, "treatment": TREATMENTS, "grade": GRADES}
# What is tried first: the attribute at the front alone, then the next, then both. Nails stay as they are: what they
# hold is galvanized as they were, and unlike metals eat each other.
TRIED: dict[str, tuple[str, ...]] = {
    "lumber": ("treatment", "grade"),
    "post": ("treatment", "grade"),
    "nail": (),
}


def substitutes(code: str) -> Iterator[str]:
    """Yield the codes that may stand in for one, nearest first.

    >>> list(substitutes("post.4x4.southern_pine.select_structural.uc3b"))
    ['post.4x4.southern_pine.select_structural.uc4a', 'post.4x4.southern_pine.select_structural.uc4b']
    >>> list(substitutes("joist_hanger.2x8.1ply.hot_dip_galvanized.skewed_left_45"))
    ['joist_hanger.2x8.1ply.stainless_steel.skewed_left_45']
    >>> list(substitutes("lag_screw.1-2in.4in.stainless_steel"))
    ['lag_screw.1-2in.4-1-2in.stainless_steel', 'lag_screw.1-2in.5in.stainless_steel']
    >>> list(substitutes("decking.5-4x6.wood")), list(substitutes("nail.10d.hot_dip_galvanized"))
    ([], [])
    """
    kind = code.partition(".")[0]
    if kind in LONGER_BY_IN:
        yield from _longer(code)
    for attribute in TRIED.get(kind, ("coating",)):
        yield from _better(code, attribute)
    if len(TRIED.get(kind, ())) == 2:
        first, second = TRIED[kind]
        yield from (both for one in _better(code, first) for both in _better(one, second))
    elif kind in LONGER_BY_IN:
        yield from (both for one in _better(code, "coating") for both in _longer(one))


def coating_of(code: str) -> str | None:
    """Return the coating an item's code names, if its kind has one.

    >>> coating_of("uplift_tie.1ply.stainless_steel"), coating_of("decking.5-4x6.wood")
    ('stainless_steel', None)
    """
    place = _place(code, "coating")
    return None if place is None else code.split(".")[place]


def _place(code: str, attribute: str) -> int | None:
    """Where an attribute stands in a code, if its kind has it."""
    form = KINDS.get(code.partition(".")[0]) if is_item(code) else None
    return form.attributes.index(attribute) + 1 if form and attribute in form.attributes else None


def _with(code: str, place: int, word: str) -> str:
    parts = code.split(".")
    return ".".join([*parts[:place], word, *parts[place + 1 :]])


def _better(code: str, attribute: str) -> Iterator[str]:
    place = _place(code, attribute)
    if place is None:
        return
    classes, now = CLASSES[attribute], code.split(".")[place]
    higher = classes[classes.index(now) + 1 :] if now in classes else ()
    yield from (_with(code, place, word) for word in higher)


def _longer(code: str) -> Iterator[str]:
    place = _place(code, "length")
    if place is None:
        return
    now = _inches(code.split(".")[place])
    steps = int(Fraction(LONGER_BY_IN[code.partition(".")[0]]) / LENGTH_STEP_IN)
    yield from (_with(code, place, inches(float(now + n * LENGTH_STEP_IN))) for n in range(1, steps + 1))


def _inches(word: str) -> Fraction:
    """A length as item codes write it: ``4in``, ``4-1-2in``, ``1-2in``."""
    parts = [int(one) for one in word.removesuffix("in").split("-")]
    whole = parts[0] if len(parts) != 2 else 0
    return Fraction(whole) + (Fraction(parts[-2], parts[-1]) if len(parts) > 1 else 0)
