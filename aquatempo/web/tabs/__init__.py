"""One module a tab: what the page asks for, and the workflow function that does it."""
