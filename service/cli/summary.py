"""A design as a builder reads it: what to build, why, what to buy, what to mind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from rich.console import Console
from rich.text import Text

from service.cli.item_names import ItemNames
from service.cli.printing import NOTHING, Column, days, item, table, title, words
from service.cli.summary_choice import print_choice
from service.cli.summary_cutting import cutting_plan
from service.cli.summary_footings import print_comparison
from service.cli.summary_materials import print_materials
from service.cli.summary_order import order_lines
from service.contract.report import AttachmentOption, DesignReport, Verdict
from service.contract.report_frame import Beam, Footing, Joists, Ledger, Level, Stair
from service.contract.report_order import Takeoff
from service.units.finding import Finding
from service.units.text import feet_inches, inches, item_words, sentence

WORST_SHOWN = 8
_COLOURS = {"prescriptive": "green", "engineer_required": "yellow", "not_permitted": "red"}
_MEANINGS = {
    "prescriptive": "within the tables read; not an approval",
    "engineer_required": "an engineer has to look at this one",
    "not_permitted": "may not be built like this",
}


def print_summary(
    report: DesignReport, names: ItemNames, console: Console, *, everything: bool = False
) -> None:
    """Print a design, its items by their names; ``everything`` there is of its footing methods too."""
    print_heading(report, console)
    _attachment(report, console)
    _frame(report, names, console)
    _footings(report.footings, console)
    print_choice(report, console)
    _worst(report.checks, console)
    _order(report, names, console)
    _cutting(report.takeoff, names, console)
    print_materials(report, console)
    print_comparison(report.footing_comparison, names, console, everything=everything)
    _cautions(report, console)


def print_heading(report: DesignReport, console: Console) -> None:
    """Print which deck it is, where and by which rules, and its verdict with every reason."""
    place = report.jurisdiction.id if report.jurisdiction else "no jurisdiction"
    sizes = ", ".join(f"{level.area_sqft:.0f} sq ft" for level in report.levels)
    rulebook = f"{report.rulebook.id}@{report.rulebook.version}"
    console.print(
        Text(f"{report.reference or 'Deck'}: {sizes}, {place}, {rulebook}, {report.as_of}", style="bold")
    )
    _verdict(report.verdict, console)


def _verdict(verdict: Verdict, console: Console) -> None:
    status = verdict.status
    console.print(
        Text.assemble((words(status).upper(), f"bold {_COLOURS[status]}"), f": {_MEANINGS[status]}")
    )
    # One sentence may hold for many members; the report has each by its name.
    for text in dict.fromkeys(reason.text for reason in verdict.reasons):
        item(console, f"- {sentence(text)}")


def _attachment(report: DesignReport, console: Console) -> None:
    attachment = report.attachment
    title(console, f"Attachment: {words(attachment.kind)}")
    for because in attachment.because:
        item(console, f"- {sentence(because.text)}")
    columns: tuple[Column, ...] = (
        ("option", "left"), ("verdict", "left"), ("footings", "right"), ("cost with footing work", "right"),
        ("days", "right"),
    )  # fmt: skip
    table(console, columns, (_option(option) for option in attachment.options))


def _option(option: AttachmentOption) -> tuple[str, ...]:
    cost = NOTHING if option.cost is None else f"{option.cost.amount} {option.cost.currency}"
    footings = NOTHING if option.footings is None else str(option.footings)
    return words(option.kind), words(option.verdict), footings, cost, days(option.days)


def _frame(report: DesignReport, names: ItemNames, console: Console) -> None:
    title(console, "Frame")
    for level in report.levels:
        if len(report.levels) > 1:
            item(console, f"Level {level.id}, {feet_inches(level.clearance.surface_height_in)} up")
        for line in _level_lines(level, names):
            item(console, line)
    for text, count in Counter(f"{post.size} {words(post.species)} posts" for post in report.posts).items():
        heights = sorted({post.height_in for post in report.posts})
        item(console, f"Posts    {count} {text}, {_span(heights)} from pier to beam")
    for stair in report.stairs:
        for line in _stair(stair):
            item(console, line)


def _level_lines(level: Level, names: ItemNames) -> Iterable[str]:
    yield from (_ledger(ledger, names) for ledger in level.ledgers)
    yield from (_joists(joists) for joists in level.joists)
    yield from (_beam(beam) for beam in level.beams)
    if level.braces:
        yield f"Braces   {len(level.braces)}"
    posts = sum(len(guard.posts) for guard in level.guards)
    if level.guards:
        heights = _span([guard.height_in for guard in level.guards])
        yield f"Guards   {len(level.guards)} runs, {heights} high, {posts} posts"


def _ledger(ledger: Ledger, names: ItemNames) -> str:
    fastener = names.of(ledger.fastener)
    every = "" if ledger.spacing_in is None else f" every {feet_inches(ledger.spacing_in)}"
    return (
        f"Ledger   {ledger.size} {words(ledger.species)} on {words(ledger.lands_on)}: "
        f"{ledger.fastener_count} x {fastener[:1].lower()}{fastener[1:]}{every}, "
        f"{len(ledger.lateral_devices)} lateral ties"
    )


def _joists(joists: Joists) -> str:
    spans = [span for line in joists.lines for span in line.spans_in]
    ends = [end for line in joists.lines for end in (line.cantilever_house_in, line.cantilever_yard_in)]
    over = [end for end in ends if end > 0]
    beyond = f", {_span(over)} past a beam" if over else ""
    way = " along the house" if joists.direction == "along_house" else ""
    return (
        f"Joists   {joists.count} {joists.size} {words(joists.species)} {words(joists.grade)}{way} at "
        f"{feet_inches(joists.spacing_in)}, span {_span(spans)}{beyond}"
    )


def _beam(beam: Beam) -> str:
    return (
        f"Beam {beam.mark:3} {beam.plies} x {beam.size} {words(beam.species)}, {beam.placement}, "
        f"spans {_span(beam.spans_in)}, bottom {_height(beam.bottom_height_in)}"
    )


def _stair(stair: Stair) -> Iterable[str]:
    count = sum(flight.risers for flight in stair.flights)
    first = next(iter(stair.flights), None)
    each = f" of {feet_inches(first.riser_in)}, treads {feet_inches(first.tread_in)}" if first else ""
    rail = ", handrail" if stair.handrail and stair.handrail.required else ""
    flights = f" in {len(stair.flights)} flights" if len(stair.flights) > 1 else ""
    yield f"Stair {stair.mark:2} {feet_inches(stair.width_in)} wide, {count} risers{each}{flights}{rail}"
    for landing in stair.landings:
        for group in landing.joists:
            yield f"Landing  {_height(landing.height_in)}: {_joists(group)}"
    yield from (_beam(beam) for beam in stair.beams)


def _height(height_in: float) -> str:
    """A height as it is measured from the datum of the spec.

    >>> _height(-20.5)
    '1\\'-8 1/2" below the datum'
    """
    return f"{feet_inches(abs(height_in))} {'below' if height_in < 0 else 'above'} the datum"


def _span(lengths_in: Sequence[float]) -> str:
    """A length, or the least and the greatest of several.

    >>> _span([96.0, 96.0])
    '8\\'-0"'
    """
    least, greatest = min(lengths_in, default=0.0), max(lengths_in, default=0.0)
    same = feet_inches(least) == feet_inches(greatest)
    return feet_inches(least) if same else f"{feet_inches(least)} to {feet_inches(greatest)}"


def _footings(footings: Sequence[Footing], console: Console) -> None:
    title(console, f"Footings: {len(footings)}")
    columns: tuple[Column, ...] = (
        ("mark", "left"), ("under", "left"), ("what", "left"), ("depth", "right"), ("load lb", "right"),
    )  # fmt: skip
    table(console, columns, (_footing_row(footing) for footing in footings))


def _footing_row(footing: Footing) -> tuple[str, ...]:
    depth = feet_inches(footing.grade_height_in - footing.bottom_height_in)
    return footing.mark, footing.serves, _footing(footing), depth, f"{footing.load_lb:,.0f}"


def _footing(footing: Footing) -> str:
    if footing.pile is not None:
        return f"pile {item_words(footing.pile.shaft)}, {footing.pile.torque_ft_lb:,.0f} ft-lb"
    concrete = footing.concrete
    if concrete is None:
        return words(footing.method)
    shaft = (
        ""
        if concrete.shaft_diameter_in is None
        else f"{feet_inches(concrete.shaft_diameter_in)} {concrete.shape} "
    )
    base = (
        ""
        if concrete.base_size_in is None
        else f"on {feet_inches(concrete.base_size_in)} {concrete.base_shape} "
    )
    return f"{shaft}{base}{words(footing.method)}"


def _worst(checks: Sequence[Finding], console: Console) -> None:
    """Print the checks by table that are nearest their limit, each kind of a member once."""
    by_table = [check for check in checks if check.basis == "table" and check.ratio is not None]
    ranked = sorted(by_table, key=lambda check: check.ratio or 0.0)
    worst = list({(check.member, check.check): check for check in ranked}.values())
    failed = [check for check in checks if not check.passes]
    title(console, f"Checks: {len(checks)}, {len(failed)} fail. Nearest their table limit:")
    columns: tuple[Column, ...] = (
        ("member", "left"), ("check", "left"), ("has", "right"), ("limit", "right"), ("ratio", "right"),
        ("table", "left"),
    )  # fmt: skip
    shown = sorted(worst, key=lambda check: -(check.ratio or 0.0))[:WORST_SHOWN]
    table(console, columns, (_check(check) for check in shown))
    for check in failed:
        item(console, f"FAILS {check.member} {words(check.check)}: {check.would_pass or 'no figure passes'}")


def _check(check: Finding) -> tuple[str, ...]:
    sign = "\u2265" if check.sense == "at_least" else "\u2264"
    where = (check.citation.table or check.citation.section or "").replace("Table ", "")
    has, limit = _figure(check.demand, check.unit), sign + _figure(check.capacity, check.unit)
    return check.member, words(check.check), has, limit, f"{check.ratio:.2f}", where


def _figure(value: float | None, unit: str | None) -> str:
    if value is None:
        return "-"
    return feet_inches(value) if unit == "in" else f"{value:,.6g} {unit or ''}".strip()


def _order(report: DesignReport, names: ItemNames, console: Console) -> None:
    takeoff = report.takeoff
    title(console, "Order")
    columns: tuple[Column, ...] = (
        ("item", "left"), ("length", "right"), ("quantity", "right"), ("price", "right"),
    )  # fmt: skip
    table(console, columns, order_lines(takeoff, names))
    for unpriced in takeoff.unpriced:
        item(console, f"NO PRICE {names.of(unpriced.item)}: {unpriced.quantity:g} {unpriced.unit}")
    if takeoff.total is not None:
        tax = "tax included" if takeoff.total.tax_included else "before tax"
        whole = "" if takeoff.total.complete else ", without the lines that have no price"
        console.print(
            Text(f"  Total {takeoff.total.amount} {takeoff.total.currency} {tax}{whole}", style="bold")
        )


def _cutting(takeoff: Takeoff, names: ItemNames, console: Console) -> None:
    title(console, f"Cutting: saw kerf {inches(takeoff.kerf_in)} in, lengths in inches to the longer points")
    for code, boards in cutting_plan(takeoff):
        item(console, names.of(code))
        for board in boards:
            item(console, board, indent=4)
    bound = takeoff.cutting_bound
    if bound is not None:
        cost, least = bound.cost.amount, f"{bound.bound.amount} {bound.bound.currency}"
        item(
            console,
            f"These boards cost {cost} by the list, before quantity breaks; by it no plan for these pieces comes to "
            f"less than {least}.",
        )


def _cautions(report: DesignReport, console: Console) -> None:
    title(console, "Mind")
    for caution in report.cautions:
        item(console, f"- {sentence(caution.text)} {sentence(caution.action)}")
