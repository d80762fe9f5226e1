"""Results in the shapes of other libraries: tables, annotations, MIDI, scores, scoring.

Each library is imported when its converter is called; the extra ``interop`` installs them.
"""
