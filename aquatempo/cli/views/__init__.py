"""How records are shown to people; no command line, no algorithm."""
