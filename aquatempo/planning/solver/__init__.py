"""OR-tools CP-SAT as planning uses it."""
