"""What comes in like keys from a device: bag codes, scanned strokes, a caliper with a data cable."""
