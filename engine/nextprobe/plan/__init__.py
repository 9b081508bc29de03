"""Which step next: one file per way of choosing, one protocol."""
