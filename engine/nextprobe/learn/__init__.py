"""What a workshop's own records teach a pack: its weights, chances, minutes and bands, each with how sure it is."""
