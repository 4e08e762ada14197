"""Units, values with a spread, formulas, and figures that show their working."""
