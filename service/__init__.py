"""Deck framing service: a deck spec goes in; frame, takeoff and footing comparison come out."""

__version__ = "1.0.0"
