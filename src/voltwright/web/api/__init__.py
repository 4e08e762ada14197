"""The interface for programs under /api: each address hands over to one use case and says nothing of its own."""
