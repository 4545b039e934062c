"""What another version of a rulebook changes of a design: the spec is designed by both, and the two are compared."""
