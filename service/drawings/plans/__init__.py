"""The framing plan and the footing plan."""
