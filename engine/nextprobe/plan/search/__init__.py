"""Search that keeps a policy and a lower bound at every node."""

from nextprobe.plan.search.anytime import SearchResult, search

__all__ = ["SearchResult", "search"]
