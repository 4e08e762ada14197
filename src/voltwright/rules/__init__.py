"""Judges figures: limits and clauses give findings with remedies, and both together make the dossier."""
