"""Deck framing service: a deck spec goes in; frame, takeoff and footing comparison come out."""

__version__ = "0.1.0"
