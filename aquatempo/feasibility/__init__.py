"""Water, moves and tempo brought together: verdicts."""
