"""What is printed to lie with the things: bag labels, hang-tags, box lists, sheets of strokes to scan."""
