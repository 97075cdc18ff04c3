"""What the user typed: frozen pydantic models, one file a noun, and how a project file becomes them."""
