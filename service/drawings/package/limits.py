"""What the design does not cover, said on a page of its own."""

from __future__ import annotations

from service.drawings.package.blocks import Section, listing

NOT_COVERED = (
    "Wind and earthquake: wind speed and seismic category are printed as they were given. No member and no connection "
    "is checked for them, uplift by wind included.",
    "Loads from above: a roof, a pergola or a screen on the deck, snow that drifts or slides down from a roof.",
    "The house: the state of its band, walls and foundation, and whether they can take what is fastened to them. "
    "Nobody has seen them.",
    "The ground: bearing, frost, water and rock are as given, local or presumed. Nothing was dug, drilled or tested.",
    "Work in the ground: shoring of deep holes, pumping of water, drilling of rock, protection of the house's own "
    "foundation while holes beside it are open.",
    "Guard posts of stairs and of their landings: how they are fastened. Those of the deck's edges are checked.",
    "What a maker's listing decides: strength and fitting of hangers, connectors, screws, piles, guards and boards. "
    "The listing of the product bought governs.",
    "Flashing, cladding and sealing, beyond that they are named and ordered.",
    "Electric, gas and water lines, lighting and heating, each with a permit of its own.",
    "Fire separation at lot lines, wildfire zones, flood zones, coasts with special rules, septic fields, easements "
    "and lot coverage. Setbacks are checked only from the property lines that were given.",
    "Decks that are not a single dwelling's: shared, public and commercial ones.",
    "The time of building: loads of stacked material, props, and how the frame stands before it is whole.",
    "How the deck feels underfoot, and its upkeep: wood and fasteners have to be looked at every year.",
)


def limits() -> Section:
    """Return the page of what the design does not cover."""
    return Section(title="What this design does not cover", blocks=listing("", NOT_COVERED), new_page=True)
