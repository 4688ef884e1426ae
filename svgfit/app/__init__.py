"""Plans: reading, resolving, running; and the way from files to pieces."""
