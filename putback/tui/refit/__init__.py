"""The way back on the screen: a step at a time, with its account and its confirmations."""
