"""The best frame: candidates with lower bounds, taken in order, and whether that proves one."""
