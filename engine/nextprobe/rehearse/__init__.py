"""Rehearsals: a walk on a simulated machine with a hidden fault, lessons set by a trainer, and their results."""
