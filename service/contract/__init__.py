"""Wire types of spec and report, the word registry, faults with JSON Pointers, the canonical form."""
