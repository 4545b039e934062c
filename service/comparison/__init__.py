"""Footing methods side by side: schedule, cost, break-even, risks, recommendation."""
