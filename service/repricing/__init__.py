"""Open quotes at other prices: orders by their lines, decks by their specs."""
