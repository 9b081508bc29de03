"""The parts of the screens, one class a file; they show what they are given and decide nothing."""
