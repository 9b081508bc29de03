"""The bench screens: a window on the engine that holds no rule of its own."""
