"""What the workshop writes down: the build document, its reader and its writer."""
