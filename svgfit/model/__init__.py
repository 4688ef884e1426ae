"""Frozen records that every floor hands on. Lengths are millimetres, angles radians, y runs down."""
