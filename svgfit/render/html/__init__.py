"""Pictures of a drawing: what of it is shown, free of everything active, as PNG and as one HTML page."""
