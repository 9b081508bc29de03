"""Writing a new pack from a few answers, so that its author begins with something that walks."""
