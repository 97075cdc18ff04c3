"""Test pieces, accepted starts, repeat mouldings, scales."""
