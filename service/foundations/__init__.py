"""Footings: what they carry, the ground beside a house, and one file a method."""
