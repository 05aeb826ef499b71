"""What the record shows when it is looked at: the balance, what is open, odd sizes, tools still out."""
