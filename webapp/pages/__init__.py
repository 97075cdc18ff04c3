"""Pages: one module per area of the site, each with a ``router``. A page reads the form, asks, and shows."""
