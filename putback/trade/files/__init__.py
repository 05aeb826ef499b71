"""Session files and exported records: read, proved, tried and taken in."""
