"""Proofs that take longer than a suite may: each module is a command (see README.md here)."""
