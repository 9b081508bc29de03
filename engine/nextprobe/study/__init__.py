"""How good a pack is: its own cases, run."""
