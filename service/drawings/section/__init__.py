"""The section through a deck."""
