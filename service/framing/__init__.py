"""Geometry only: outline, joist lines, beam lines, posts, stairs, guards, heights."""
