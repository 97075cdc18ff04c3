"""What the air of another place does to a project's parts: change across the grain, and what it does to joints."""
