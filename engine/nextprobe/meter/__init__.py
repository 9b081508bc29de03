"""A bench meter that is asked over SCPI: what it shows, when it is steady, and what to do when it is not."""
