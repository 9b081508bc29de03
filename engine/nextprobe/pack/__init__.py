"""From YAML files to a typed pack: reading with positions, shape, rules for meaning, defaults."""
