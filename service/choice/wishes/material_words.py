"""What changes with a framing material: fasteners, each with how well it is known, and what to mind."""

from __future__ import annotations

from service.contract.report_choice import FastenerChange
from service.contract.report_comparison import CodedText
from service.rules.sections import STEEL, WOOD

FASTENERS: dict[str, tuple[FastenerChange, ...]] = {
    WOOD: (
        FastenerChange(
            part="hangers",
            text="Hangers as wide as the section, 1-3/4 in where sawn joists have 1-1/2 in; the listing says which "
            "nails fill them.",
            status="common_practice",
        ),
        FastenerChange(
            part="ply_fasteners",
            text="Screws through all plies, in two rows 16 in apart, in place of nails; where joists hang on one face "
            "the maker's schedule for side loads governs, bolts where it says so.",
            status="own_convention",
        ),
        FastenerChange(
            part="caps",
            text="Post caps and saddles 1-3/4, 3-1/2 or 5-1/4 in wide for one, two or three plies.",
            status="common_practice",
        ),
        FastenerChange(
            part="coating",
            text="As in treated sawn lumber: hot-dip galvanized to ASTM A153, connectors G185, or stainless "
            "(IRC R317.3).",
            status="memory",
        ),
    ),
    STEEL: (
        FastenerChange(
            part="hangers",
            text="Hangers or clip angles for C-sections, held by screws, also where steel joists hang on the wooden "
            "ledger: a connection that is designed.",
            status="common_practice",
        ),
        FastenerChange(
            part="screws",
            text="Self-drilling screws no. 10 by 3/4 in in place of nails, one for one; deck boards take self-drilling "
            "deck screws of the boards' maker.",
            status="common_practice",
        ),
        FastenerChange(
            part="stiffeners",
            text="A web stiffener at each bearing of a joist on a beam (IRC R505.3.4). The checks do not count on "
            "them: reactions are held to the table's value without.",
            status="memory",
        ),
        FastenerChange(
            part="isolation",
            text="Butyl tape wherever zinc would touch copper-treated wood: on the seats of joists, along the ledgers "
            "and rims they end at, and along steel beams. The order has it.",
            status="common_practice",
        ),
        FastenerChange(
            part="coating",
            text="Sections of G90 zinc at least, G185 near salt water; screws as well protected as the sections.",
            status="own_convention",
        ),
        FastenerChange(
            part="caps",
            text="Post caps and saddles as wide as the section; bolts through steel beams where the design says.",
            status="common_practice",
        ),
    ),
}
ALONE = (
    "Sizes come from the supplier's own values by calculation; no table of the rulebook covers them. Posts, ledger, "
    "rims and blocking stay of treated sawn lumber, and members stand where those of sawn lumber would: other options, "
    "alternatives, wishes and the footing comparison are of sawn lumber. Guard posts, blocking and bracing on "
    "such members are not proven here."
)
CAUTIONS: dict[str, tuple[CodedText, ...]] = {
    WOOD: (
        CodedText("supplier_values_govern", ALONE),
        CodedText(
            "section_stays_dry_ends",
            "Only veneer lumber treated for wet use stands uncovered; water gets in at cut ends and under joists.",
        ),
    ),
    STEEL: (
        CodedText("supplier_values_govern", ALONE),
        CodedText(
            "unlike_metals",
            "Zinc corrodes where it touches copper-treated wood and stays wet, and beside stainless in salt air.",
        ),
        CodedText(
            "steel_is_not_notched",
            "Light-gauge joists are never notched, and their flanges and lips never cut; holes are where the maker "
            "punches them.",
        ),
    ),
}


def fasteners_of(material: str) -> tuple[FastenerChange, ...]:
    """Return what changes in fasteners with a material.

    >>> [one.part for one in fasteners_of("laminated_veneer_lumber")]
    ['hangers', 'ply_fasteners', 'caps', 'coating']
    """
    return FASTENERS[material]


def cautions_of(material: str) -> tuple[CodedText, ...]:
    """Return what to mind with a material.

    >>> [one.code for one in cautions_of("light_gauge_steel")]
    ['supplier_values_govern', 'unlike_metals', 'steel_is_not_notched']
    """
    return CAUTIONS[material]
