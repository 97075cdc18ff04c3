"""How the schema came to be what it is: Alembic's environment, and one revision a file."""
