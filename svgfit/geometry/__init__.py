"""Curves, motions, lengths, parallels: numpy only, no notion of a pattern."""
