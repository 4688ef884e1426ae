"""The rules of the trade: each with its value and its source, one file a subject."""
