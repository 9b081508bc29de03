"""What a pack knows, in open formats that other programs read."""
