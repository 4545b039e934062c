"""The page of other frames and wishes: every one of them, with its signs, and why where there is none."""

from __future__ import annotations

from io import StringIO

from beside_decks import answered
from rich.console import Console

from service.cli.summary_choice import print_choice


def page(name: str) -> str:
    out = StringIO()
    print_choice(answered(name), Console(file=out, width=100, highlight=False))
    return out.getvalue()


def test_every_other_frame_and_every_wish_is_on_the_page() -> None:
    report, text = answered("on_veneer"), page("on_veneer")
    flat = " ".join(text.split())
    for one in report.alternatives:
        assert one.because in flat
        assert f"Gains: {', '.join(one.gains)}" in flat
    assert "Money at list prices by the piece, of other wood by both orders" in flat
    for wish in report.preference_costs:
        shown = wish.text.partition(":")[0] if wish.verdict else wish.text
        assert " ".join(shown.split()) in flat
    assert "- On a ledger: not here: a ledger may not be carried by veneer." in flat


def test_what_costs_more_has_a_plus_and_what_the_deck_has_no_figures() -> None:
    lines = page("on_veneer").splitlines()
    close = next(line for line in lines if line.startswith("12 in spacing"))
    assert close.split()[3].startswith("+")
    free = next(line for line in lines if line.startswith("Standing free"))
    assert free.split() == ["Standing", "free", "(as", "it", "is)", "-", "-", "-", "-", "-", "prescriptive"]
