"""The library's database: places, tracks, marks, verdicts, questions; one file for each."""
