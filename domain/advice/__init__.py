"""What would make a joint that cannot be made, and what a small change would gain for one that can."""
