"""From a mating face to slots and keys. Knows faces and sections, nothing of frames."""
