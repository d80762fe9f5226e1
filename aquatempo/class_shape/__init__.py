"""What a class is to be: its parts, tempos, effort, ceilings, and what notes on people ask."""
