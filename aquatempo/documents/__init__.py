"""What people write, to records and back: brief, plan, track sheet, people, moves as typed."""
