"""The way back: which step can go on, how the machine has to lie, what is confirmed, how long it takes."""
