"""Unit names, the only rounding, citations, working steps and findings. Imports nothing of ours."""
