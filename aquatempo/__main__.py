"""``python -m aquatempo`` is the command ``aquatempo``."""

from __future__ import annotations

from aquatempo.cli import main

if __name__ == "__main__":
    main()
