"""From drawn outlines to known pieces."""
