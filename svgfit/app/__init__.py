"""Use cases that every front end calls: open drawings, run plans, advise, replay, make handouts."""
