"""The bench, where parts come off: what it shows and what its keys do."""
