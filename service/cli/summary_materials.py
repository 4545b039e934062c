"""Other framing materials as a builder weighs them: what would replace what, how far it spans, what it costs more."""

from __future__ import annotations

from rich.console import Console

from service.cli.printing import NOTHING, Column, amount, item, table, title, words
from service.contract.report import DesignReport
from service.contract.report_choice import MaterialMember, MaterialOption
from service.units.text import feet_inches, sentence

COLUMNS: tuple[Column, ...] = (
    ("member", "left"), ("sawn", "left"), ("section", "left"), ("spans", "right"), ("sawn spans", "right"),
    ("price to sawn", "right"), ("used", "right"),
)  # fmt: skip


def print_materials(report: DesignReport, console: Console) -> None:
    """Print the materials the price book has sections of; nothing where it has none."""
    offered = [one for one in report.material_options if one.members]
    if not offered:
        return
    title(console, "Other materials (an engineer's)")
    item(
        console,
        "- Spans are of simple members: one whose ends run past its supports is relieved, and may span more.",
    )
    for one in offered:
        item(console, _said(one))
        table(console, COLUMNS, (_row(member) for member in one.members))
        for change in one.fasteners:
            item(console, f"- {words(change.part)}: {sentence(change.text)}")
        for text in one.why_not:
            item(console, f"- {sentence(text.text)}")


def _said(one: MaterialOption) -> str:
    name = words(one.material)
    if one.already:
        return f"{name}: as framed here"
    if one.cost_change is None:
        return f"{name}: what it costs beside sawn lumber is not known"
    more = "less" if one.cost_change.amount.startswith("-") else "more"
    return f"{name}: {amount(one.cost_change).lstrip('-')} {more} than sawn lumber, pieces and metal"


def _row(one: MaterialMember) -> tuple[str, ...]:
    plies = f"{one.plies} x " if one.plies > 1 else ""
    return (
        one.member,
        one.sawn,
        f"{plies}{one.section}",
        feet_inches(one.span_in),
        NOTHING if one.sawn_span_in is None else feet_inches(one.sawn_span_in),
        NOTHING if one.price_ratio is None else f"{one.price_ratio:.1f}",
        f"{100 * one.ratio:.0f} %",
    )
