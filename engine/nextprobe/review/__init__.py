"""A record beside what the engine would have asked: regret in minutes, and luck apart from it."""
