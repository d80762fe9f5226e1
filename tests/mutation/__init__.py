"""Deliberate changes to computing code, and whether the tests notice; see docs/testing.md."""
