"""Cards and reports as lines to be spoken: one fact a line, in reading order, states as words, nothing drawn."""
