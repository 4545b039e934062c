"""Footing methods, one file each; none knows another."""
