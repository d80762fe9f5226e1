"""Any plan, ours or a hand-written one, judged: findings with place, reason and remedy."""
