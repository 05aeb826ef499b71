"""Pages one goes to and comes back from: break, summary, finding, walk-back, a camera's clock."""
