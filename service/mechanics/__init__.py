"""Continuous beams in closed form. Lengths in ft, loads in plf and lb; nothing here knows a deck."""
