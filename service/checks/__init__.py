"""Every finding in a fixed order, with its citation and working, and the verdict that follows."""
