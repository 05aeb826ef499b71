"""What is said of the record: plain values first, then lines for people and JSON for programs."""
