"""Benchscribe: what goes out with a build video, from the maker's own talk and the plan's part list."""

__version__ = "0.1.0"
