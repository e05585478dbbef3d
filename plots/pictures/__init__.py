"""The property's own pictures of its ground: read and cut into map tiles, in a process of its own.

Only `opening`, `colours`, `cutting` and `child` use rasterio, and only that process imports them: web server and worker
never hold GDAL over a stranger's file.
"""
