"""These are scripts: pytest collects none of them."""

collect_ignore_glob = ["*.py"]
