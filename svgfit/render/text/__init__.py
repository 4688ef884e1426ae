"""Plain text and JSON for terminals and other programs."""
