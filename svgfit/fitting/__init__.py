"""Fitting in the trade's sense: altering the pattern of a garment until it can be sewn and sits.

Fit no curve to points here (svgfit.geometry.fit does that): cut a piece and spread it (slash, spread), true its edges,
redraw a cap or an armhole, move notches, lay edges together as they are sewn (sewn), walk one along another, measure.
"""
