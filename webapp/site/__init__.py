"""The door and the kit of the pages: addresses, rendering, what comes in, guards, failures."""
