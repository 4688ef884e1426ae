"""The slash engine, measuring, and what operations are made of."""
