"""A plan shaped: locked, planned again, edited, and what else might be done in it."""
