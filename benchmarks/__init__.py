"""How fast it is, side by side with other ways to the same answer: `make bench`."""
