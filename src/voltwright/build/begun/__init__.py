"""A whole build file from five answers: what common practice puts where nothing was said, each value marked as assumed."""
