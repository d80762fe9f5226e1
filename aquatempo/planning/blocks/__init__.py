"""From chosen forms to the blocks of a plan: sides, bridges, intervals, stretches."""
