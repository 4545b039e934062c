"""The tables beside a footing plan: kinds of footing by letter, and where each one stands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from string import ascii_uppercase

from service.contract.report_frame import Concrete, Footing, Pile
from service.drawings.kit.side import Table
from service.units.text import feet_inches, item_words

KINDS = {
    "tube_form_pier": "tube-form pier",
    "pad_and_pier": "pier on a poured pad",
    "belled_pier": "belled pier",
    "post_on_buried_pad": "post on a buried pad",
    "helical_pile": "helical pile",
    "pier_block_on_grade": "pier block on the ground",
    "pad_on_grade": "pad on the ground",
}


# a method with more kinds than this has what they share told once, over their rows
_MANY = 2
_IN_ROWS = {" at least ": " ", " below\u00a0grade": "", " below grade": ""}


def type_of(footing: Footing) -> str:
    """Return what a footing is, how deep it goes below the ground and how far it stands out, in words."""
    return ", ".join(_parts(footing))


def _parts(footing: Footing) -> tuple[str, ...]:
    deep = _length(footing.grade_height_in - footing.bottom_height_in)
    parts = [KINDS.get(footing.method, footing.method.replace("_", " ")), *_made(footing)]
    top = f"top {_length(footing.exposed_in)} above grade" if footing.exposed_in else "top at grade"
    if footing.top_height_in < footing.grade_height_in - 0.01:
        top = f"top {_length(footing.grade_height_in - footing.top_height_in)} below grade"
    return (*parts, f"bottom {deep} below grade", top)


def _made(footing: Footing) -> Iterator[str]:
    if footing.concrete is not None:
        yield from _poured(footing.concrete)
    if footing.pile is not None:
        yield from _driven(footing.pile)


def _poured(made: Concrete) -> Iterator[str]:
    if made.width_in is not None and made.length_in is not None:
        yield f"{_length(made.width_in)} x {_length(made.length_in)}"
    if made.shaft_diameter_in is not None:
        yield f"{_length(made.shaft_diameter_in)} dia shaft"
    if made.base_size_in is not None and made.base_shape is not None:
        yield f"base {_base(made.base_shape, made.base_size_in)}"
    if made.thickness_in is not None:
        yield f"{_length(made.thickness_in)} thick"
    if made.bell_height_in is not None:
        yield f"cone {_length(made.bell_height_in)} high"
    if made.reinforcement is not None:
        bars = made.reinforcement
        yield f"{bars.bars} bars {item_words(bars.size)}, {_length(bars.length_in)} long"


def _base(shape: str, size_in: float) -> str:
    return f"{_length(size_in)} {'square' if shape == 'square' else 'dia'}"


def _driven(pile: Pile) -> Iterator[str]:
    yield f"shaft {item_words(pile.shaft)}"
    yield f"helix {' + '.join(_length(one) for one in pile.helices)} dia"
    yield f"torque at least {pile.torque_ft_lb:,.0f} ft-lb"


def _length(length_in: float) -> str:
    """A length that is not broken between two lines."""
    return feet_inches(length_in).replace(" ", "\u00a0")


def _letters(footings: Sequence[Footing]) -> dict[str, str]:
    kinds = (type_of(one) for method in _by_method(footings) for one in method)
    return {kind: _letter(number) for number, kind in enumerate(dict.fromkeys(kinds))}


def _by_method(footings: Sequence[Footing]) -> list[list[Footing]]:
    methods = dict.fromkeys(one.method for one in footings)
    return [[one for one in footings if one.method == method] for method in methods]


def _letter(number: int) -> str:
    """A to Z, then AA and on."""
    over, rest = divmod(number, len(ascii_uppercase))
    return (_letter(over - 1) if over else "") + ascii_uppercase[rest]


def type_table(footings: Sequence[Footing]) -> Table:
    """Return every kind of footing once, by its letter."""
    letters = _letters(footings)
    rows = tuple(row for method in _by_method(footings) for row in _rows(method, letters))
    return Table("Footings", ("Type", "No.", "What"), rows)


def _rows(footings: Sequence[Footing], letters: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    """The kinds of one method; of many kinds, what they share is told once, so that every row is short."""
    counted = Counter(_parts(one) for one in footings)
    shared = [part for part in shared_by(counted) if len(counted) > _MANY]
    if shared:
        least = "torque at least, " if footings[0].pile else ""
        yield ("", "", f"{', '.join(shared)}; {least}bottom below grade, as told:")
    for parts, count in counted.items():
        told = ", ".join(part for part in parts if part not in shared)
        for words, instead in _IN_ROWS.items() if shared else ():
            told = told.replace(words, instead)
        yield (letters[", ".join(parts)], str(count), told)


def shared_by(kinds: Iterable[tuple[str, ...]]) -> list[str]:
    """Return the parts that all of some kinds share, in order.

    >>> shared_by([("pile", "helix 8 in", "top 3 in"), ("pile", "helix 10 in", "top 3 in")])
    ['pile', 'top 3 in']
    """
    first, *others = kinds
    return [part for part in first if all(part in other for other in others)]


def place_table(footings: Sequence[Footing]) -> Table:
    """Return the place and the load of every footing; places from the origin to its centre."""
    letters = _letters(footings)
    rows = tuple(
        (
            one.mark,
            letters[type_of(one)],
            feet_inches(12 * one.x_ft),
            feet_inches(12 * one.y_ft),
            f"{one.load_lb:,.0f}",
        )
        for one in footings
    )
    return Table("Places and loads", ("Mark", "Type", "x", "y", "Load lb"), rows)
