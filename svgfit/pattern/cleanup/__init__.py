"""What drawing programs leave in lines, taken out before a piece is recognised."""
