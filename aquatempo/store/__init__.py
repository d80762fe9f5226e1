"""What is remembered between runs: analyses as a cache, corrections as the user's own."""
