"""At the machine: set-ups, the tablet, time as ticked."""
