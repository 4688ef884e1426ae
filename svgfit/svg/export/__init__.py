"""Copies of a drawing for paper and for looking at."""
