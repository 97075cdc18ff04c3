"""At the machine: set-ups in the best order, which pieces each of them mills, and how they are laid down."""
