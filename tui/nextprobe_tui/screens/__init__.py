"""The screens, one class a file; each is a window on the engine and holds no rule of its own."""
