"""The steps by which the database came to its present shape, run by Alembic when records are opened."""
