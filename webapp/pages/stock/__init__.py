"""The stockroom, suppliers and their offers."""
