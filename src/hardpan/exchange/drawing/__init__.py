"""Drawings of the street: one strip map that recurs everywhere, and the ground along it, as SVG.

``strip_map`` and ``ground_map`` draw the map with rates or with the ground, on rows that ``street_frame`` and ``map_row`` share; ``ground_along`` draws the
ground strip by strip. ``ink`` holds colours, sizes and hatches; ``marks`` and ``ground_marks`` the icons; ``lettering`` measures text; ``placement`` keeps
labels apart.
"""
