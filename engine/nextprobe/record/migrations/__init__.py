"""The layouts of a store, each as the step from the one before: Alembic's scripts, the same on both databases."""
