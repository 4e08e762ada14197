"""Laws of nature and of arithmetic as plain functions on SI floats, one phenomenon a file."""
