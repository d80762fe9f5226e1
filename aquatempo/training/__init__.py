"""Makes music with known beats and trains the rhythm front end on it.

Nothing in aquatempo imports this package. It needs PyTorch (the extra ``training``)
and ``tinysoundfont``, installed with ``pip install --no-deps tinysoundfont``: its
dependency for live playing is not needed here. docs/design/training.md tells how it
works and docs/model_card.md what came out.
"""
