"""Files of other kinds, in and out: what the stock readers and writers do. Imports geometry and model only."""
