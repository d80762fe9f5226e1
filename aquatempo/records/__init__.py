"""Frozen records that all parts pass round; no algorithms, no input or output."""
