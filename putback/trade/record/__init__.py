"""The nouns of the trade, and the record that holds them with its indexes."""
