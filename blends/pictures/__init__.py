"""Pictures of a blend, drawn on the server: plain values in, shapes of an SVG out. No Django here.

Each module has one picture. The template `blends/pictures/picture.html` writes any of them.
"""
