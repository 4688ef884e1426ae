"""The handout: true-to-size pages on the papers a printer has, and a teaching sheet, as one PDF."""
