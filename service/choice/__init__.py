"""Candidate frames, the objective, alternatives and what preferences cost."""
