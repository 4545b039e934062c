"""Checks of one member alone: what the table and a calculation allow, side by side."""
