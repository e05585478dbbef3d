"""OGC API – Features (Part 1: Core, GeoJSON) below /ogc/: plots and plantings for a desktop GIS, read only."""
