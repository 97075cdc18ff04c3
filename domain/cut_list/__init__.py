"""What is to be cut: parts with finished and rough sizes, by the wood they come from."""
