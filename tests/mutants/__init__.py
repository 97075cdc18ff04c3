"""Small faults put into the domain on purpose, and whether a test notices each."""
