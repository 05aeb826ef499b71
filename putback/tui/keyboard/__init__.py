"""The table of keys, a person's layout of it, and keys that are scanned or tapped."""
