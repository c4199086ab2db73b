"""Drawings of the street: one strip map that recurs everywhere, as SVG.

``strip_map`` draws; ``ink`` holds colours, sizes and hatches; ``marks`` the icons; ``lettering`` measures text; ``placement`` keeps labels apart.
"""
