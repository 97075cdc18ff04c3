"""The open JSON interface."""
