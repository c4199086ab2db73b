"""Sheets of paper: one A4 (or letter) page each, made by typst from templates of our own, with the raw plan attached inside.

``pdf`` compiles; each other module gathers what one sheet shows; ``templates`` lays it out.
"""
