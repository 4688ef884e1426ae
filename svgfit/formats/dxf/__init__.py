"""DXF, in and out: R12 entities, and the trade's interchange standard for pattern pieces."""
